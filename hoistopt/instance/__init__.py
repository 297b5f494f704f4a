"""What a solver sees of a problem: plain data in whole ticks, and nothing else.

- `data.py`: all that a solver sees of a cycle. `build.py`: how it comes from a problem; `ways.py`:
  the ways to move a load from stage to stage; `turnrounds.py`: what carriers do at the ends of the
  line.
- `finite.py`, `build_finite.py`: the same of a programme, from a state and orders. `at_first.py`:
  what the state says of ends, carriers and rests; `begins.py`: where it has several hoists, and
  what those out of service leave; `promised.py`: moves that keep their times.
- `join.py`: how a programme ends in a cycle. `ways_of_joining.py`, `build_join.py`: how a cycle can
  be joined from a state, and the problem of each way.
- `several.py`: what hoists on one track ask of one another; `least_apart.py`: what they need in any
  case.
- `limits.py`, `edits.py`: the limits of a line that could give way; the line with figures changed.
- `margins.py`: the line with time to spare.
- `times/`: physics and tables of times to whole ticks.
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
