"""The scheduling problems as plain data, the only thing a solver sees.

`data.py` has the cyclic problem; `finite.py` that of a state and orders, and `join.py` how it
ends in a cycle.
"""

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
