"""The main job: from a problem to a proven and checked schedule."""

from ..base.effort import Effort, Progress, Stop
from .choice import DegreeChoice
from .cycle import solve
from .degrees import best_degree, compare_degrees, gains_over_last
from .result import Result

__all__ = [
    "DegreeChoice",
    "Effort",
    "Progress",
    "Result",
    "Stop",
    "best_degree",
    "compare_degrees",
    "gains_over_last",
    "solve",
]
