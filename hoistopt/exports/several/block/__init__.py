"""The block of one of several hoists as data: its variables and its statements.

The same for every line and hoist; only the bounds of arrays differ. The block of the first hoist is
called first in every scan and does, once for all, what belongs to the line (`line`): time, the
clock, the ages of what stands in tanks. Then each block checks its table (`checking`), finds its
place in the cycle where loads stand in the line (`preset`), follows the motion that is under way
(`under_way`), looks ahead (`ahead`), ends a motion (`ended`), finds what the next one waits for
(`waiting`) and starts it (`starting`). `variables` has the declarations.

The clock is one for all, and goes back by the rules of the block of one hoist
(:mod:`hoistopt.exports.block`), but for lasting drift, which is not remembered.

With a preset the blocks begin anywhere in the cycle: each hoist has made the motions planned before
the step that comes next, less those that wait for one that is not made, over and over; or what the
operator says of each hoist, refused if any waits for one that is not made. Such a set is one that
the hoists can have made anyway when some are late, one motion after another, so what
:mod:`..releases` argues holds from there on.

Blocks count cycles only round by LastSlot + 1, and that is enough though one hoist may be a cycle
or more ahead of another. All visits of a station, by whichever hoist, keep the order of the plan
(by release signals, or as one hoist makes both), so how many loads of one step can stand takes at
most two values, which differ by one; with all hoists at their beginnings it is the boundaries of
the step that lifts them, so there are never more than LastSlot + 1.

A table without a cycle time is a list run once: nothing is looked for beyond its last motion, after
which the block asks for none; a list before a cycle is refused.

The tests have the blocks once more, from these rules (`tests/helpers/hoists/several_model.py`),
which must agree with every output of every call, on a track where all positions are followed over
time and with inputs drawn at random.
"""

from __future__ import annotations

from .ahead import ahead
from .checking import checking
from .ended import ENDED
from .line import line
from .preset import preset
from .starting import STARTING
from .under_way import UNDER_WAY
from .variables import Kind, Sizes, shared, variables
from .waiting import WAITING

__all__ = ["Kind", "Sizes", "body", "shared", "variables"]


def body() -> str:
    """The statements of a hoist's block, without its declarations."""
    parts = (line(), checking(), preset(), UNDER_WAY, ahead(), ENDED, WAITING, STARTING)
    return "\n\n".join(part.strip() for part in parts) + "\n"
