"""A result as text for people: tables for the terminal, a flat table for a spreadsheet."""
