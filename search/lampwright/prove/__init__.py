"""Questions put to a constraint solver: the least number of parts, conflicts, what to take from stock."""
