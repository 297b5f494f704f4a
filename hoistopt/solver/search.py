"""The least cycle time of a line, whether one hoist serves it or several."""

from __future__ import annotations

from ..base.clock import Clock
from ..instance import Instance
from ..schedule import Schedule
from .chains import ChainBound
from .cyclic import search as of_one_hoist
from .cyclic.incumbent import Found, Tell
from .several import Shorten, least_cycle_of_several


def least_cycle(
    instance: Instance,
    clock: Clock | None = None,
    *,
    tell: Tell | None = None,
    known: Schedule | None = None,
    again: bool = False,
    chains: ChainBound | None = None,
    shorten: Shorten | None = None,
) -> Found:
    """Find the least cycle time of an instance.

    :func:`.cyclic.search.least_cycle` and :func:`.several.search.least_cycle_of_several` say
    what is tried in which order.

    Parameters
    ----------
    clock : Clock, optional
        When it is over, what is known by then is the outcome; without a limit the search
        ends with a proof. More threads than cores make proofs slower by far. Same seed and
        one thread: same schedule, unless the limit or a stop cuts in, or the smaller line
        that several loads begin from takes more than :data:`.cyclic.starts.smaller_line.SECONDS`,
        or a part of it more than :data:`.cyclic.starts.gathering.SECONDS`.
    tell : callable, optional
        Called from another thread whenever the best cycle time or the bound moves.
    known : Schedule, optional
        A schedule of the instance, in its ticks, to begin with; nothing longer is looked at.
    again : bool
        Whether the instance was searched before, and `known` is the best of that: the smaller
        lines that a search starts from are not searched once more.
    chains : ChainBound, optional
        Of the same line at whatever degree, to raise on and to leave raised.
    shorten : callable, optional
        Of several hoists, makes the cycle of a schedule shorter by the exact times of its
        ways, but not below so many ticks; None where it cannot.
    """
    if instance.several is None:
        return of_one_hoist.least_cycle(
            instance, clock, tell=tell, known=known, again=again, chains=chains
        )
    return least_cycle_of_several(
        instance,
        Clock() if clock is None else clock,
        least_cycle,
        tell=tell,
        known=known,
        again=again and known is not None,
        shorten=shorten,
    )
