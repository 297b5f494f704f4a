"""Why there is no schedule: what cannot be kept together, and the smallest change."""

from .answer import Conflict
from .find import find_conflict
from .mus import UnsatisfiableSubset, conflicting_demands

__all__ = ["Conflict", "UnsatisfiableSubset", "conflicting_demands", "find_conflict"]
