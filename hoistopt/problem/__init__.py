"""What the user states: the line, the recipes, the cycle asked for."""

from .files import load_problem
from .line import Carriers, Crossing, Hoist, Motion, Station
from .problem import Problem
from .recipe import Cycle, Recipe, Stage
from .times import TableEntry, Times

__all__ = [
    "Carriers",
    "Crossing",
    "Cycle",
    "Hoist",
    "Motion",
    "Problem",
    "Recipe",
    "Stage",
    "Station",
    "TableEntry",
    "Times",
    "load_problem",
]
