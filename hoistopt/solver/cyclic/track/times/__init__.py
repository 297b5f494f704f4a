"""Exact times that depend on the cycle time, for a whole span of cycle times at once."""
