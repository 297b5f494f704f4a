"""The rules of the line, a file each. Read ALL as the statement of the problem."""

from .capacity import no_more_than_capacity, one_carrier_in_a_tank
from .dwell import dwell_in_window
from .ends import ends_of_the_line
from .hoist import hoist_in_one_place
from .symmetry import loads_in_order

ALL = (
    hoist_in_one_place,
    dwell_in_window,
    one_carrier_in_a_tank,
    no_more_than_capacity,
    ends_of_the_line,
    loads_in_order,
)

__all__ = ["ALL"]
