"""Bounds on what is yet to come right of a cut, and on the hoist's time left of it."""
