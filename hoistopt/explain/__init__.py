"""Why a line has no schedule."""

from .conflict import Demand, conflicting_demands

__all__ = ["Demand", "conflicting_demands"]
