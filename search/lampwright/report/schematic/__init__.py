"""Schematics: layout, symbols, SVG, pictures and text."""
