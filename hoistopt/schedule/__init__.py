"""Schedules, programmes and states of the line, and the files they are kept in.

- `schedule.py`: a cycle, as moves in time. `programme.py`: moves in absolute time, made once.
- `state.py`: what stands where, and where the hoist is. `state_checks.py`: whether that can be:
  each entry by itself (`state_entries.py`), the room they leave one another (`state_room.py`),
  several hoists (`state_hoists.py`). `state_files.py`, `state_fields.py`: states in TOML and JSON,
  and their fields.
- `orders.py`: orders of loads, and the table they are kept in.
- `files.py`: moves read from any file. `csv_rows.py`, `csv_moves.py`: rows of a CSV table, and the
  moves they mean. `json_moves.py`: moves in JSON. `raw_move.py`: what any file of moves must pass.
- `stated.py`: what a file states of its schedule; `stated_degrees.py`: of the degrees compared.
  `words.py`: tables in other languages.

What a programme means, to all who plan or judge one (a cycle: `DEVELOPERS.md`):

*Programmes.* Moves in absolute time from a state of the line, each made once; time 0 is the moment
of the state. Dwell, places, hoist, rest, crossings and payload are those of a cycle. A time that
the state has in doubt must keep its window in the whole range, and a fixed dwell begun before the
state gives way by at most a tick. Mix, order and pace mean nothing. A place rests at time 0 where
the state says so (`resting`, with the time since the lifting, rounded down to ticks; in doubt the
lesser), else it has rested; what the hoist is about to set down then comes whatever the rest.

*Ends of the line.* A programme has a beginning and an end, so people put carriers at the ends of
the line and take them away: at one place of a load or unload station a lift comes `min_occupation`
after whatever the hoist did there before, setting down after setting down as well, and setting down
after a lift at once. Where a state has the hoist somewhere, a place at a load station that it does
not name is empty, and a carrier has to stand there first; from an empty line without a hoist all
are ready. Carriers that are counted and not named wait at the load station.

*Several hoists.* Any two moves keep the same times apart as in a cycle, once and not in every
cycle. Where the state does not say where a hoist is, it stands at first where its first move
begins, or where its first travel leads to; after its last one it stays, or gives way. One that the
state has on its way goes so that it has settled, and set down what it carries, when it is free; how
it gains speed, and doubt, leave two ways between which it is. One that is out of service makes no
move and stays where it is, anywhere on the track; moves on which another would come too close to it
are none. A load that no hoist can take on is no recovery's: the plan names it and ends.

*Into a cycle.* A programme may end in a cycle. It is *in step* from the start of its first move
after which the hoist makes every move of the full cycle, at its time, and no other. That moment
does not depend on where a file lets its cycle begin, any move may come first, and from it on
production is that of the cycle; an origin of the cycle would depend on it, and the first load out
can be early while the line is not in step. Moves before are free: loads of the state are out
before, or stand where the cycle has a load, and as many enter as are lacking; loads ordered are
like those of the state that have not entered yet. None else need enter and be out before: a
programme without it is in step as early. Where loads of the state are of recipes that the cycle
does not carry, the *changeover time* comes first, from the last of them out to the first load of
the cycle out; a load that waits for its last move, within its window, may make it shorter. The
checker demands that all cycles shown are alike and carries the last one on, until the line is in
the very state in which it was a cycle before; hence all of it is clean for ever.

Of several hoists moves before the joining have *begun* before it and need not be over: another
hoist may carry a load out while the first move of the cycle is made; then the changeover time is 0.
Of any move before and any of the cycle the starts are as far apart as of any two moves; those of
the cycle leave one another time already. From its first move of the cycle on a hoist goes the way
of the cycle, but where what was before is yet in somebody's way: the first cycles shown may have
other travels, the last one has those of the cycle, and the checker carries that one on.

*Recovery.* A load of the state may be lost: it stands in some stage longer than its maximum, in
doubt for the longest time it may have stood. It goes its way and keeps every other rule. A load
that has not entered can wait until the line is empty, so it is never lost, and the fewest loads
lost and the least overstay are those of the loads in the line alone, whatever is ordered or joined
after them. Where an order's release, a sequence or a promise is in the way, waiting helps; so where
no programme exists the conflict lies among the loads in the line. The checker is told which loads
are given up, and takes no other overstay.
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
