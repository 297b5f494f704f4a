"""The shortest schedule that can be run: few enough loads out of window under the scatter."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from fractions import Fraction

from ..base.clock import Clock, OutOfTime
from ..base.text import counted
from ..checker import Replay, accepted
from ..graph.spread_margin import spread_margin
from ..instance import build_instance
from ..problem import Problem
from ..schedule import Schedule
from .figures import MarginFigures, margin_figures
from .most import LONGEST_SPREAD
from .search import Candidate, RunnableSearch
from .several_order import SeveralOrder

USUAL_SECONDS, SECONDS_OF_MANY, MANY = 6.0, 12.0, 40
"""What the search for a schedule that can be run may take where nothing else is said; with more
than so many moves a cycle, whose orders take longer to find, the second."""

SEARCHED = 0.85
"""Share of the time in which orders are looked for; the rest is for judging the best of them."""


@dataclass(frozen=True)
class Runnable:
    """The shortest schedule found that can be run.

    Attributes
    ----------
    schedule : Schedule
        The checker has accepted it.
    replay : Replay
        What the checker saw.
    margin : MarginFigures
        What it forgives: tightest slack and float, share of loads out of window.
    found : str
        How it was found, in words for people.
    """

    schedule: Schedule
    replay: Replay
    margin: MarginFigures
    found: str

    @property
    def cycle_time(self) -> int | float:
        """Its cycle time, in the problem's unit."""
        return self.schedule.cycle_time

    @property
    def met(self) -> bool:
        """Whether no larger share of loads is out of window than is tolerated; where none
        such was found, this is the schedule with the smallest share."""
        return self.margin.met


def usual_seconds(moves: int) -> float:
    """Seconds for the search for a schedule that can be run, by the moves of a cycle."""
    return SECONDS_OF_MANY if moves > MANY else USUAL_SECONDS


def find_runnable(
    problem: Problem,
    least: Schedule,
    seen: Replay,
    clock: Clock,
    known: MarginFigures | None = None,
    *,
    degree: int = 1,
) -> Runnable:
    """The shortest schedule, of those tried until the clock is over, that can be run.

    Parameters
    ----------
    problem : Problem
        The line.
    least : Schedule
        The schedule of the least cycle time, on the grid of the problem.
    seen : Replay
        The checker's, of that schedule.
    clock : Clock
        Same seed and one worker: same schedule, unless the clock cuts in. It does with several
        hoists, whose orders are looked for by seconds.
    known : MarginFigures, optional
        The figures of `least`, if there are any already.
    degree : int
        Sets of loads per cycle of the schedule.

    Returns
    -------
    Runnable
        It keeps the margin the problem asks for, and its planned pace under the scatter.
        Where no schedule tried is within what is tolerated: the one with the smallest share
        of loads out of window.

    Raises
    ------
    InputError
        When the scatter does not fit the line.
    """
    figures = known or margin_figures(problem, seen, clock)
    own = Runnable(least, seen, figures, "the schedule of the least cycle itself")
    if _can_be_run(own):
        return own
    instance = build_instance(problem, degree, margin=False, several=True)
    search = RunnableSearch(problem, instance, figures.scatter, clock.share(SEARCHED))
    with suppress(OutOfTime):
        search.go(least)
    found = confirmed(problem, search, clock)
    if found is None:
        return own
    if found.met:
        return found
    worse = found.margin.out_of_window.share >= figures.out_of_window.share
    return own if own.met or worse else found


def confirmed(problem: Problem, search: RunnableSearch, clock: Clock) -> Runnable | None:
    """The best of a search, judged by draws it was not chosen by; None where it has none.

    Where those are less kind to it, its order gets a little more time to spare, until they
    are content, it has all that it could need, or the clock, which the search has from then on,
    is over.
    """
    search.clock = clock
    best = search.best or search.nearest
    if best is None:
        return None
    found = judged(problem, best, len(search.orders), clock)
    if search.best is not None and not _can_be_run(found):
        for longer in search.more(best):
            if clock.over:
                break
            best, found = longer, judged(problem, longer, len(search.orders), clock)
            if _can_be_run(found):
                break
    if clock.over or not found.met:
        return found
    return _with_more_room(problem, best, found, clock)


def _with_more_room(
    problem: Problem, candidate: Candidate, found: Runnable, clock: Clock
) -> Runnable:
    """The same order and cycle time with the most margin beyond what the scatter needs, where
    that can be run as well."""
    if isinstance(candidate.order, SeveralOrder):
        return found  # starts halfway between the earliest and the latest are all there is
    spared = candidate.order.spared(candidate.pads, candidate.rooms)
    spread = spread_margin(problem, spared, found.schedule, clock.part(LONGEST_SPREAD))
    replay = accepted(problem, spread, made_here=True)
    figures = margin_figures(problem, replay, _fresh(clock))
    other = Runnable(spread, replay, figures, found.found)
    better = _can_be_run(other) and _slack(other) > _slack(found)
    return other if better else found


def _can_be_run(found: Runnable) -> bool:
    return found.met and found.margin.keeps_pace


def _slack(found: Runnable) -> Fraction:
    slack = found.margin.slack
    return Fraction(0) if slack is None else slack.time


def _fresh(clock: Clock) -> Clock:
    """A clock of another seed, so that the draws that judge are not those that chose."""
    return clock.part(seed=(clock.seed + 1) % 2**31)


def judged(problem: Problem, candidate: Candidate, tried: int, clock: Clock) -> Runnable:
    """A candidate replayed by the checker, and run with draws it was not chosen by."""
    schedule = candidate.order.schedule(candidate.times)
    replay = accepted(problem, schedule, made_here=True)
    orders = f"{counted(tried, 'order')} of moves tried"
    return Runnable(
        schedule,
        replay,
        margin_figures(problem, replay, _fresh(clock)),
        f"{candidate.how}; {orders}",
    )
