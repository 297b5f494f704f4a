"""The rules of the line, a file each. Read RULES as the statement of the problem."""

from collections.abc import Callable, Mapping

from ..variables import Variables
from .capacity import no_more_than_capacity, one_carrier_in_a_tank
from .dwell import dwell_in_window
from .ends import ends_of_the_line
from .hoist import hoist_in_one_place
from .rest import places_rest
from .several import hoists_keep_apart
from .symmetry import loads_in_order

Rule = Callable[[Variables], None]
"""Adds the constraints of one rule to the model of its variables."""


def hoists(variables: Variables) -> None:
    """One hoist is in one place at a time, several keep their distance as well."""
    one = variables.instance.several is None
    (hoist_in_one_place if one else hoists_keep_apart)(variables)


RULES: Mapping[str, Rule] = {
    "hoist": hoists,
    "dwell": dwell_in_window,
    "tank": one_carrier_in_a_tank,
    "capacity": no_more_than_capacity,
    "rest": places_rest,
    "ends": ends_of_the_line,
    "order": loads_in_order,
}

__all__ = ["RULES", "Rule"]
