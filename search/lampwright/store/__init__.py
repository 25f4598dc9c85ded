"""What a run leaves behind: the result, its schema, its provenance."""
