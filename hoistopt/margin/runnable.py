"""The shortest schedule that can be run: few enough loads out of window under the scatter."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace
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
from .search import FEW, Candidate, RunnableSearch
from .several_order import SeveralOrder

USUAL_SECONDS, MOST_SECONDS, SECONDS_A_MOVE = 6.0, 24.0, 0.4
"""What the search for a schedule that can be run may take where nothing else is said: the more
moves a cycle has, the longer its orders take to find."""

CLEARLY = 1.02
"""How many times the good loads of what can be run another schedule must have to be told of."""

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
    fuller : MarginFigures or None
        Of a schedule tried that has a few more loads out of window than are tolerated, and clearly
        more good loads for its time all the same; None where there is none.
    """

    schedule: Schedule
    replay: Replay
    margin: MarginFigures
    found: str
    fuller: MarginFigures | None = None

    @property
    def cycle_time(self) -> int | float:
        """Its cycle time, in the problem's unit."""
        return self.schedule.cycle_time

    @property
    def met(self) -> bool:
        """Whether no larger share of loads is out of window than is tolerated; where none
        such was found, this is the schedule with the smallest share."""
        return self.margin.met

    @property
    def can_be_run(self) -> bool:
        """Whether it is within what is tolerated, at the pace planned."""
        return self.met and self.margin.keeps_pace

    @property
    def degree(self) -> int:
        """Sets of loads per cycle."""
        return self.margin.loads_per_cycle // len(self.replay.problem.load_set)

    @property
    def time_per_load(self) -> Fraction:
        """Planned mean time per load, in the problem's unit."""
        return self.margin.time_per_load


def usual_seconds(moves: int) -> float:
    """Seconds for the search for a schedule that can be run, by the moves of a cycle."""
    return min(MOST_SECONDS, max(USUAL_SECONDS, SECONDS_A_MOVE * moves))


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
    if own.can_be_run:
        return own
    instance = build_instance(problem, degree, margin=False, several=True)
    search = RunnableSearch(problem, instance, figures.scatter, clock.share(SEARCHED))
    with suppress(OutOfTime):
        search.go(least)
    found = confirmed(problem, search, clock)
    if found is None:
        return own
    if found.met:
        return _beside(found, own)
    worse = found.margin.out_of_window.share >= figures.out_of_window.share
    return own if own.met or worse else found


def _beside(found: Runnable, own: Runnable) -> Runnable:
    """The same with what the least cycle forgives, where that has the most good loads."""
    known, figures = found.fuller, own.margin
    least = found.margin.good_in_time * CLEARLY if known is None else known.good_in_time
    few = figures.keeps_pace and figures.out_of_window.share <= FEW
    fuller = few and figures.good_in_time > least
    return replace(found, fuller=figures) if fuller else found


def confirmed(problem: Problem, search: RunnableSearch, clock: Clock) -> Runnable | None:
    """The best of a search, judged by draws it was not chosen by; None where it has none.

    Where those are less kind to it, its order gets a little more time to spare, until they
    are content, it has all that it could need, or the clock, which the search has from then on,
    is over.
    """
    search.clock = clock
    tried = len(search.orders)
    if not search.passed:
        nearest = search.nearest
        return None if nearest is None else judged(problem, nearest, tried, clock)
    best, found = _shortest_content(problem, search, clock)
    if not clock.over and found.can_be_run:
        found = _with_more_room(problem, best, found, clock)
    return replace(found, fuller=_fuller(problem, search, found, clock))


def _fuller(
    problem: Problem, search: RunnableSearch, found: Runnable, clock: Clock
) -> MarginFigures | None:
    """What the schedule with the most good loads forgives, where it has clearly more of them."""
    fullest = search.fullest
    if fullest is None or not found.can_be_run or fullest.times.cycle >= found.schedule.cycle:
        return None
    margin = judged(problem, fullest, len(search.orders), clock).margin
    much = margin.good_in_time > CLEARLY * found.margin.good_in_time
    return margin if much and margin.keeps_pace else None


def _shortest_content(
    problem: Problem, search: RunnableSearch, clock: Clock
) -> tuple[Candidate, Runnable]:
    """The shortest of those that passed with which fresh draws are content, as they are or with
    more to spare; where they are with none, that with the smallest share of loads out of window."""
    tried, shorter = len(search.orders), []
    best, found = None, None
    for candidate in reversed(search.passed):
        one = judged(problem, candidate, tried, clock)
        if found is None or one.can_be_run or _share(one) < _share(found):
            best, found = candidate, one
        if one.can_be_run or clock.over:
            break
        shorter.append(candidate)
    assert best is not None and found is not None
    for candidate in shorter:
        known = {candidate.times}  # rooms that are there already change nothing
        for longer in search.more(candidate):
            if clock.over or (found.can_be_run and longer.times.cycle >= found.schedule.cycle):
                break
            if longer.times in known:
                continue
            known.add(longer.times)
            one = judged(problem, longer, tried, clock)
            if one.can_be_run or (not found.can_be_run and _share(one) < _share(found)):
                best, found = longer, one
            if one.can_be_run:
                return best, found
    return best, found


def _share(found: Runnable) -> float:
    return found.margin.out_of_window.share


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
    better = other.can_be_run and _slack(other) > _slack(found)
    return other if better else found


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
