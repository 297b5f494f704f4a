"""Schedules, programmes and states of the line, and the files they are kept in.

Whether a state can be one of the line: `state_entries.py` looks at each entry by itself,
`state_room.py` at whether they leave room for one another, `state_checks.py` at all of it.
"""

from .files import read_moves, read_order, read_programme, schedule_to_data
from .orders import Order, read_orders
from .programme import Programme, Repeats, unroll
from .schedule import Schedule, Step, Travel, readable
from .state import Between, Carried, HoistAt, LineState, Resting, Standing
from .state_files import read_state, save_state

__all__ = [
    "Between",
    "Carried",
    "HoistAt",
    "LineState",
    "Order",
    "Programme",
    "Repeats",
    "Resting",
    "Schedule",
    "Standing",
    "Step",
    "Travel",
    "read_moves",
    "read_order",
    "read_orders",
    "read_programme",
    "read_state",
    "readable",
    "save_state",
    "schedule_to_data",
    "unroll",
]
