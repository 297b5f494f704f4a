"""The search for the least cycle time: bounds, variables, constraints, CP-SAT."""

from .cpsat import run_model
from .model import build_model
from .search import Found, least_cycle

__all__ = ["Found", "build_model", "least_cycle", "run_model"]
