"""The jobs of the program, each one function: files in, rows out."""
