"""What every single fault of a design does: listed, put on the bench, read, and told as rows."""
