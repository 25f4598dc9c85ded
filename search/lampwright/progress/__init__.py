"""How far a long run has come, for a person who waits."""
