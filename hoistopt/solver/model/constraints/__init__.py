"""The rules of the line, a file each. Read RULES as the statement of the problem."""

from collections.abc import Callable, Mapping

from ..variables import Variables
from .capacity import no_more_than_capacity, one_carrier_in_a_tank
from .dwell import dwell_in_window
from .ends import ends_of_the_line
from .hoist import hoist_in_one_place
from .symmetry import loads_in_order

Rule = Callable[[Variables], None]
"""Adds the constraints of one rule to the model of its variables."""

RULES: Mapping[str, Rule] = {
    "hoist": hoist_in_one_place,
    "dwell": dwell_in_window,
    "tank": one_carrier_in_a_tank,
    "capacity": no_more_than_capacity,
    "ends": ends_of_the_line,
    "order": loads_in_order,
}

__all__ = ["RULES", "Rule"]
