"""Programmes: moves in absolute time that take loads through the line, as early as can be.

`search.py` says what is tried in which order. Loads are placed one after another: with the others'
times fixed, the times at which a load may be lifted from a stage are a set of spans, worked out
from that of the stage before, so the earliest way is exact. Those of the state come first, then
first come, first served; then the kind that is out first; and a cycle of the orders' mix, filled
and run out, is a programme as well. With many moves like loads follow each other with the dwells
and the period of their own best cycle, recipe after recipe in every sequence.

The best of these gets better in parts, in turns: loads are taken off and placed again, and CP-SAT
looks at windows of time. What comes before a window keeps its times, what comes after is brought
forward as a whole, by as much as the window can spare. Each thread has a window, far from those of
the others.

Up to 150 moves CP-SAT gets the whole model with the best of these to start from, and proves. No
load may be later there than all lateness of the best allows, which settles most of what comes
before what. It runs without its search for symmetries, after one wrong proof, of an earlier
statement of the model, that has not come back. From 60 moves on the bound of chains of moves is
asked as well.

Of several hoists the order given is searched first, for less long where loads are late so, and what
it found is where the search of all begins. With many moves each hoist has a zone of the track to
begin with. That fewer loads be lost, or that there be a programme at all, is refuted by what hoists
that gain speed need in any case (`FiniteInstance.needed`).

- `incumbent.py`: the best programme so far, and what is proved. `in_parts.py`: a programme made
  from parts.
- `placing/`: loads placed one after another. `times.py`: start times and ways of all moves.
  `giving_way.py`: how several hoists give way.
- `model/`: the whole model. `whole.py`: what CP-SAT proves and betters on it. `windows.py`: a
  window of time, the rest `held.py`. `spare.py`: room below maxima where it costs nothing.
- `bounds.py`: bounds without search. `chained.py`: one from chains of moves. `possible.py`: whether
  there is any programme.
- `joining/`: over into a cycle. `recovery/`: loads given up after a stop.
"""

from .bounds import lower_bound
from .giving_way import cycles_told, goes, travels_once
from .joining import Joined, JoinSearch
from .placing.construct import add_loads
from .placing.stretches import Pace, Way
from .possible import overdue, possible
from .search import Programmed, least_finish
from .spare import with_room
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
