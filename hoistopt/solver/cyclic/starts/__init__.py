"""Schedules to start a search from, found with little or no search.

- `one_by_one.py`: one load at a time, from end to end. `first.py`: moves placed one after another.
- `smaller_line.py`: what to start from where a cycle has several loads: `copies.py`, the cycle of
  one set of loads copied; or `groups.py`, tanks of a group merged into one station of as many
  places, with the times of its middle tank, its cycle unrolled with the tanks in turn; and
  `merged_line.py`, such a line with as many loads as the whole.
- `gathering.py`: loads gather at a stage that holds several, and leave it one after another; each
  half of the line, of `sections.py`, solved by itself.
"""

from .first import find_first
from .gathering import gathered, gathered_cycle
from .one_by_one import one_by_one
from .smaller_line import start_from_copies, start_from_groups

__all__ = [
    "find_first",
    "gathered",
    "gathered_cycle",
    "one_by_one",
    "start_from_copies",
    "start_from_groups",
]
