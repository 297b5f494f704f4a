"""The main job: from a problem to a proven and checked schedule."""

from ..base.effort import Effort, Progress, Stop
from .cycle import CheckFailed, best_degree, compare_degrees, gains_over_last, solve
from .result import Result

__all__ = [
    "CheckFailed",
    "Effort",
    "Progress",
    "Result",
    "Stop",
    "best_degree",
    "compare_degrees",
    "gains_over_last",
    "solve",
]
