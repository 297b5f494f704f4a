"""Studies: the same line over and over while some of its figures vary."""

from .levels import Level
from .parameter import Parameter, read_parameter
from .points import Point, Study
from .run import study

__all__ = ["Level", "Parameter", "Point", "Study", "read_parameter", "study"]
