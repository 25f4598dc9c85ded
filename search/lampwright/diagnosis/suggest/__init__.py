"""Changes of the spec that would help, each tried."""
