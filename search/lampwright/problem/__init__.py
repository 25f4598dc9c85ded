"""A spec and the catalogue as a problem: states, part options, light levels as arrays."""
