"""Judging circuits: levels, margins, ratings, minimality, order."""
