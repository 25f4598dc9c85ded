"""Questions about circuits for a class, each answer held against a simulation."""
