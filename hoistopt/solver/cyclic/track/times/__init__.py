"""Exact times that depend on the cycle time, for a whole span of cycle times at once.

- `span.py`: separations packed; sum them only as it says: which cycle time of a span is the worst
  shows in the whole sum, not in its parts. `arithmetic.py`: compiled arithmetic on single times.
"""
