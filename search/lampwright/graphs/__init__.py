"""Multigraphs with told-apart terminals, listed once each up to renaming of internal vertices.

Import the module that defines the name: `cell`, `listing`, `orbits`, `canonical`,
`drawings`, `partitions`. No source: this file only names the others.
"""
