"""The search for the least cycle time: bounds, variables, constraints, CP-SAT."""

from .cpsat import run_model
from .model import build_model
from .search import Found, is_feasible, least_cycle

__all__ = ["Found", "build_model", "is_feasible", "least_cycle", "run_model"]
