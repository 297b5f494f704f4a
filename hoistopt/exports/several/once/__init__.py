"""Programmes of several hoists as tables: a list of motions a hoist, run once.

They wait by the argument of :mod:`..releases`: what a programme orders in absolute time is a cycle
so long that nothing comes again. Where it goes over into its cycle, a hoist enters where its table
of the cycle begins, each at a time of its own, and the list has all motions before that. The
signals of the cycle name motions so many cycles before; where there is no cycle before, they count
back into the list, which ends in motions of the cycle. Whether that keeps each motion of the cycle
from all of the list is looked at, and if not the list gets a cycle more. Starts are those of the
longest paths through all waits: the safest that the windows allow, and following where they do not.

- `motions.py`: what each hoist does, and what must be before what. `waits.py`: all that is waited
  for. `whole.py`: times in whole units. `table.py`: the tables.
- `limits.py`: how late a motion may be. `onward.py`: where each hoist enters the cycle.
  `beyond.py`: lateness after that.
"""

from .table import several_programme_table

__all__ = ["several_programme_table"]
