"""The documentation: what of it is made from the program itself, and its pages without a generator."""
