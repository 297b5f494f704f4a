"""A slow, plain reading of the rules, to hold the solver against.

Nothing here knows the solver, its timing, its instance or the checker.
"""
