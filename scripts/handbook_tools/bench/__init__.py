"""The benchmark: everything against its budget, in one run, as ratios first."""
