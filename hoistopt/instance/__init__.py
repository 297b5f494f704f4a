"""The cyclic scheduling problem as plain data, the only thing a solver sees."""

from .build import build_instance, moves_in_a_set
from .data import Instance, Move, Place, Route, Stay, Turnround

__all__ = [
    "Instance",
    "Move",
    "Place",
    "Route",
    "Stay",
    "Turnround",
    "build_instance",
    "moves_in_a_set",
]
