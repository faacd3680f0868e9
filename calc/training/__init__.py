"""For teaching: problems with a seed, their marking, assignments, and drills in a simulated room.

Nothing here draws from a clock or a global random state: the same seed gives the same problem.
"""
