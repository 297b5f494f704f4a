"""The function block as data: its variables and its statements.

Structured text and PLCopen XML both write it from here. The statements are the same for every line
and table; only the bounds of the arrays differ. All times are whole ms.

What it does in a call, a section each: check the table (`checking`, of one hoist and of several by
`fields`); begin afresh (`beginning`), with loads in the tanks if a preset says so (`preset`); let
carriers and clock grow older and follow the order of the steps (`running`); look ahead for loads
that cannot keep their maximum (`ahead`); start a step, and put the clock back for what is late
(`starting`). What several of them say stands in `again`; `variables` has the declarations.

Its rules for lateness, each with its reason:

- A start is *late* by its time after the plan, as the clock has it, and so is the end of a move.
  Lateness spreads along the arcs of the event graph; several late events spread as the latest of
  them, so what holds for each alone holds for all together.
- *Clock limit*: up to it no load exceeds its maximum, with a quarter to spare, and all is to plan a
  cycle later. Nothing is done.
- Beyond it the clock goes back by at most the lateness. If a load stands in a tank and the clock
  goes back by p, it stands max(p, its own lateness) longer: so p up to what every load standing can
  still bear (`Reserve`) hurts none, and is never worse than none. Half of that is taken.
- *Lasting limit*: beyond it some load that is set down later exceeds its maximum if the moves only
  follow. Lateness beyond it is taken off in any case. So after one delay on a full line only loads
  that stood in a tank then can be out of window, once each. The limits count on the steps of a full
  line making loads late; while it fills, or has a gap, a load set down within the next cycle may be
  out of window too, and is named by an alarm.
- *Lasting drift*: how late each step started and ended in both of the two cycles before is
  remembered (`StartUsual`, `EndUsual`). Lateness that comes again, no greater, makes what is set
  down after it late alike: then no more than `Reserve` is taken off, not even beyond the lasting
  limit. `Reserve` leaves each load the lateness that its step had before; of what is taken off for
  good measure (`Spare`), also that of the hoist after the step before. A slower hoist makes every
  load late alike, and on a line with fixed dwells and no room every put back of the clock would
  cost a load. How a drift begins nothing tells from single delays, so the first cycles may be hurt
  as by those. A column of the table could not say this: what a step may give back depends on how
  late the others are.
- *Alarm*: looking ahead, no load is lifted before its planned time nor before the hoist has made
  all moves until then, each in its least time. Where that passes its maximum it is certain.
- *Rest*: the block knows rests of stations of one place; after a reset every place counts as
  rested.

A *list run once* stands before the steps of the cycle in the same table. Its times count from its
own beginning, those of the cycle from `ListTime_ms` on. What it sets down for the cycle counts as
set down by the step of the cycle that would have done so in a cycle before the first, so all rules
above hold across the joint. A load of the state is lifted by a step that is fed by itself. A new
load of the list is waited for until the clock limit, as there is no next cycle to take it in. Alarm
limits of the list follow a late start through it, into the cycle, and on until the lateness repeats
itself (`exceeded_above` in :mod:`hoistopt.graph.lateness`).

The tests have the block once more, made from these rules and not from its text
(`tests/helpers/block/block_model.py`); the plant of the tests calls both and compares every output
of every call. So a change of a rule goes into both.
"""

from __future__ import annotations

from .again import written_out
from .ahead import AHEAD
from .beginning import BEGINNING
from .checking import checking
from .preset import PRESET
from .running import RUNNING
from .starting import STARTING
from .variables import LONGEST_MS, Array, Section, Sizes, Variable, variables

__all__ = ["LONGEST_MS", "Array", "Section", "Sizes", "Variable", "body", "variables"]


def body() -> str:
    """The statements of the function block, without its declarations."""
    parts = (checking(), BEGINNING, PRESET, RUNNING, AHEAD, STARTING)
    return written_out("\n\n".join(part.strip() for part in parts) + "\n")
