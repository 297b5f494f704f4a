"""Turns that get longer each time: looks for better schedules, and CP-SAT on the whole model."""

from __future__ import annotations

from contextlib import suppress
from math import ceil

from ...base.clock import Clock
from ...instance import Instance
from ..chains import ChainBound
from ..compiling import NoTimeToCompile
from ..cpsat import Status
from .annealing import LoadsAnnealing, MergedAnnealing
from .incumbent import Incumbent
from .reinsertion import Reinsertion
from .shifts import shift
from .whole import HARDLY_PROVABLE, PROVABLE, search_whole_model

FIRST_TURN, LONGER_TURN, LOOKS = 5.0, 3.0, 4
"""CP-SAT's work, in its own measure, in the first turn of the whole model; how much more there
is in each next one; looks into neighbourhoods in a turn, for each unit of that work."""

ROUNDS, MORE_ROUNDS = 50, 200
"""Rounds of annealing for each unit of CP-SAT's work in a turn, if there were one move; with
more moves they take longer and are fewer. The second above :data:`.whole.HARDLY_PROVABLE`."""

REINSERTED = 5000
"""Rounds of taking moves out and putting them back, likewise, but by the square of the moves."""

MODEL_OF_MANY = 1 / 2
"""Of a turn's work, what the whole model has above :data:`.whole.HARDLY_PROVABLE` moves."""

VAIN, HARDLY = 1 / 9, 0.005
"""Of a turn of looks for better schedules, what is left of the next one after one in vain, when
the whole model has its longer turn at once; and the part of the cycle time that a turn has to
gain, lest it be in vain. Above :data:`.whole.HARDLY_PROVABLE` moves turns stay as they are."""

AT_FIRST = 9
"""How many times as long the whole model has in the first turn, where moves are so few or looks
were in vain: it begins anew in every turn, and some proofs take long at one go."""

FIRST_CHAINS, TURN_CHAINS, MOST_CHAINS = 4_000, 16_000, 64_000
"""Chains of moves for a bound: the first time that it is raised, in the first turn, and ever."""


def shift_and_prove(
    instance: Instance,
    incumbent: Incumbent,
    clock: Clock,
    chains: ChainBound,
    annealing: LoadsAnnealing | MergedAnnealing | None = None,
    reinsertion: Reinsertion | None = None,
) -> Status:
    """Look for better schedules, raise the bound and search the whole model, by turns.

    Parameters
    ----------
    incumbent : Incumbent
        Improved in place.
    chains : ChainBound
        Of the same line, raised in place, too.
    annealing : LoadsAnnealing or MergedAnnealing, optional
        Has its turn before neighbourhoods.
    reinsertion : Reinsertion, optional
        Has its turn before annealing.

    Returns
    -------
    Status
        What CP-SAT said in the last turn; "unknown" where the clock was over first.

    Raises
    ------
    OutOfTime
        When the clock is over before a model is built.
    """
    work, most, part = FIRST_TURN, TURN_CHAINS, 1.0
    while True:
        many = len(instance.moves) > HARDLY_PROVABLE
        few = len(instance.moves) <= PROVABLE and work == FIRST_TURN
        before, looked = incumbent.best, incumbent.schedule is not None and not few
        if looked:
            share, moves = part * work, len(instance.moves)
            if reinsertion is not None:
                reinsertion.near(max(1, round(share * REINSERTED / moves**2)))
            if annealing is not None:
                annealing.near(max(1, round(share * (MORE_ROUNDS if many else ROUNDS) / moves)))
            shift_for_a_turn(instance, incumbent, clock, share)
        in_vain = looked and not many and _hardly_better(incumbent.best, before)
        raise_bound(instance, incumbent, clock, chains, most)
        if incumbent.closed or clock.over:
            return "unknown"
        if few or in_vain:
            work *= AT_FIRST if work == FIRST_TURN else LONGER_TURN
        status = search_whole_model(
            instance, incumbent, clock, MODEL_OF_MANY * work if many else work
        )
        part = VAIN if in_vain or (few and incumbent.best == before) else 1.0
        if status in ("optimal", "infeasible") or incumbent.closed or clock.over:
            return status
        work *= LONGER_TURN
        most = min(2 * most, MOST_CHAINS)


def shift_for_a_turn(
    instance: Instance, incumbent: Incumbent, clock: Clock, work: float = FIRST_TURN
) -> None:
    """Look into neighbourhoods of the best schedule for so much work, in CP-SAT's own measure."""
    shift(instance, incumbent, clock, round(work * LOOKS), work)


def raise_bound(
    instance: Instance,
    incumbent: Incumbent,
    clock: Clock,
    chains: ChainBound,
    most: int = FIRST_CHAINS,
) -> None:
    """Raise the bound by what the hoist can do in a row, in at most so many chains of moves."""
    with suppress(NoTimeToCompile):
        chains.raise_to(most, clock)
    incumbent.improve(None, ceil(chains.per_set * instance.degree))


def _hardly_better(best: int | None, before: int | None) -> bool:
    """Whether looks gained so little that what is left is rather to prove than to find."""
    return best is None or before is None or best > (1 - HARDLY) * before
