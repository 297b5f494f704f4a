"""Programmes: moves in absolute time that take loads through the line, as early as can be.

`insertion.py` places one load among others, stage by stage, from what `pieces.py` says of each.
`incumbent.py` keeps the best programme of a search: `in_parts.py` places loads and looks at
windows of time, `whole.py` is the whole model, and `search.py` says what comes when.
"""

from .bounds import lower_bound
from .construct import add_loads
from .giving_way import cycles_told, goes, travels_once
from .joining import Joined, JoinSearch
from .possible import overdue, possible
from .search import Programmed, least_finish
from .spare import with_room
from .stretches import Pace, Way
from .times import Timing, lateness, without_loads

__all__ = [
    "JoinSearch",
    "Joined",
    "Pace",
    "Programmed",
    "Timing",
    "Way",
    "add_loads",
    "cycles_told",
    "goes",
    "lateness",
    "least_finish",
    "lower_bound",
    "overdue",
    "possible",
    "travels_once",
    "with_room",
    "without_loads",
]
