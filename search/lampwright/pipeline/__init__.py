"""The order of stages: read, list, refute, solve, judge, rank, keep, report."""
