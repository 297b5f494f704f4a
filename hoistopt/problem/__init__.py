"""What the user states: the line, the recipes, the cycle asked for."""

from .files import load_problem
from .line import Carriers, Crossing, Hoist, Motion, Station, Track
from .margin import Margin, Scattering
from .problem import Problem
from .recipe import Cycle, Recipe, Stage
from .scatter import Scatter
from .times import TableEntry, Times

__all__ = [
    "Carriers",
    "Crossing",
    "Cycle",
    "Hoist",
    "Margin",
    "Motion",
    "Problem",
    "Recipe",
    "Scatter",
    "Scattering",
    "Stage",
    "Station",
    "TableEntry",
    "Times",
    "Track",
    "load_problem",
]
