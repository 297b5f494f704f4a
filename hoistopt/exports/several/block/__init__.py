"""The block of one of several hoists as data: its variables and its statements.

The same for every line and hoist; only the bounds of arrays differ. The block of the first hoist
is called first in every scan and does, once for all, what belongs to the line (`line`): time, the
clock, the ages of what stands in tanks. Then each block checks its table (`checking`), finds
its place in the cycle where loads stand in the line (`preset`), follows the motion that is under
way (`under_way`), looks ahead (`ahead`), ends a motion (`ended`), finds what the next one waits for
(`waiting`) and starts it (`starting`).
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
