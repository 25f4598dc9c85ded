"""Circuits: which part joins which nodes, and how a graph's edges become parts."""
