"""The main job: from a problem to a proven and checked schedule."""

from .cycle import CheckFailed, best_degree, compare_degrees, gains_over_last, solve
from .result import Progress, Result

__all__ = [
    "CheckFailed",
    "Progress",
    "Result",
    "best_degree",
    "compare_degrees",
    "gains_over_last",
    "solve",
]
