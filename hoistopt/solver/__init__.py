"""The search for the least cycle time: bounds, variables, constraints, CP-SAT."""

from .cpsat import run_model
from .cyclic.search import Found, least_cycle
from .model.build import build_model

__all__ = ["Found", "build_model", "least_cycle", "run_model"]
