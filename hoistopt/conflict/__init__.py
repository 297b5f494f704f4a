"""Why there is no schedule: what cannot be kept together, and the smallest change."""

from .subset import Conflict, conflicting_demands

__all__ = ["Conflict", "conflicting_demands"]
