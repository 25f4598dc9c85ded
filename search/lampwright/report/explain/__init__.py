"""A design in words: why each lamp does what it does."""
