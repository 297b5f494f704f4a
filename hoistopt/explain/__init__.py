"""Why a cycle takes as long as it does, and why there is none."""

from .conflict import Conflict, conflicting_demands

__all__ = ["Conflict", "conflicting_demands"]
