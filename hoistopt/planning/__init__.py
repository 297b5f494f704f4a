"""The main job: from a problem to a proven and checked schedule."""

from ..base.effort import Effort, Progress, Stop
from .choice import DegreeChoice
from .cycle import solve
from .degrees import best_degree, compare_degrees, gains_over_last
from .plan_result import Plan
from .programme import plan
from .result import Result
from .waiting import place_next

__all__ = [
    "DegreeChoice",
    "Effort",
    "Plan",
    "Progress",
    "Result",
    "Stop",
    "best_degree",
    "compare_degrees",
    "gains_over_last",
    "place_next",
    "plan",
    "solve",
]
