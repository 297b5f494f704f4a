"""Least-cycle-time schedules for single-hoist dip-process lines, with proof."""
from .problem import load_problem
