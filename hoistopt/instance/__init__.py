"""The cyclic scheduling problem as plain data, the only thing a solver sees."""

from .build import asked_margins, build_instance, moves_in_a_set
from .data import Instance, Move, Place, Route, Stay, Turnround
from .several import Several

__all__ = [
    "Instance",
    "Move",
    "Place",
    "Route",
    "Several",
    "Stay",
    "Turnround",
    "asked_margins",
    "build_instance",
    "moves_in_a_set",
]
