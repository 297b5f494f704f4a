"""The main job: from a problem to a proven and checked schedule."""

from ..base.effort import Effort, Progress, Stop
from .cycle import best_degree, compare_degrees, gains_over_last, solve
from .result import Result

__all__ = [
    "Effort",
    "Progress",
    "Result",
    "Stop",
    "best_degree",
    "compare_degrees",
    "gains_over_last",
    "solve",
]
