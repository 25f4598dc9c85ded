"""The result of a run as plain rows, and those rows as JSON."""
