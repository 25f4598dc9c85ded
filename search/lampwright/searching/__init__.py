"""From a problem to its circuits: plan, shares, executors, steps, verdict."""
