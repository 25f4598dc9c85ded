"""Necessary conditions: what refutes a circuit for every part value, without solving it."""
