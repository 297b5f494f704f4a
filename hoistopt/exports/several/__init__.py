"""Sequencer tables and function blocks of several hoists, with release signals between them.

A hoist has a table and an instance of the block; all share one variable, in which the release
signals stand: how many motions each hoist has left for, and arrived with. `releases.py` has the
argument why hoists that wait for them are never too close and never wait for one another for ever;
tests try every order of leaving and arriving.

A motion waits before it starts, or on its way, short of the other's; where the schedule leaves no
time for that, it follows: the other has left so long ago that they keep their distance unless that
one stops on its way, and every output names the motions that do. Motions are moved as little as the
waits ask for, and the cycle time stays where following makes it possible. No motion is left out:
what no load is there for is made empty, so the signals mean the same while the line fills.

- `motions.py`: what each hoist does. `ordered.py`: which motions go before which others;
  `releases.py`: which of these a signal has to say. `passing.py`: the ways of keeping two apart.
  `waits.py`: all of it as a graph.
- `rounding.py`: a schedule in whole units, in which hoists wait. `limits.py`: how late a motion may
  be. `table.py`, `motion_table.py`: the tables, and what they hold; `rows.py`: what rows of lists
  and cycles have alike. `once/`: lists run once, of programmes.
- `formats/`: how they are written. `members.py`: the members of a table in programs.
- `block/`: the block, a file for each part of what it does.
"""

from .motion_table import HoistMotion, HoistTable, Release, SeveralTable
from .table import several_table

__all__ = [
    "HoistMotion",
    "HoistTable",
    "Release",
    "SeveralTable",
    "several_table",
]
