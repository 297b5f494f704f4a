"""The rules of a programme, a file each. Read RULES as the statement of the problem."""

from collections.abc import Callable

from ..variables import FiniteVariables
from .carriers import carriers_enough
from .dwell import dwell_within_window
from .ends import ends_of_the_line
from .entering import entering_in_order
from .hoist import hoist_in_one_place
from .order import order_kept
from .places import places_hold_what_they_can
from .rest import places_rest

Rule = Callable[[FiniteVariables], None]
"""Adds the constraints of one rule to the model of its variables."""

RULES: dict[str, Rule] = {
    "hoist": hoist_in_one_place,
    "dwell": dwell_within_window,
    "places": places_hold_what_they_can,
    "rest": places_rest,
    "order": order_kept,
    "ends": ends_of_the_line,
    "carriers": carriers_enough,
    "entering": entering_in_order,
}

__all__ = ["RULES", "Rule"]
