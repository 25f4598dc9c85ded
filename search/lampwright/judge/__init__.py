"""Judges circuits: screening, corners, minimal circuits, order."""
