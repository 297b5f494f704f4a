"""What is to be seen in a time-way diagram, as plain data in exact times."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from ...analysis.figures.dwells import Margin, margin_size
from ...analysis.figures.steps import tick_of
from ...base.errors import InputError
from ...base.numbers.decimals import as_decimal
from ...checker.courses import approaches, courses
from ...checker.record import CarrierStay, HoistRun, Replay, Violation
from ...problem import Problem

MOST_CYCLES = 20


@dataclass(frozen=True)
class Bar:
    """One carrier standing in a station; times count from the left edge of the diagram.

    `least` and `most` are when the least time is reached and when the greatest would
    be. `until` lies beyond the right edge where the carrier is not seen to leave.
    `dwell` is as the tables show it, rounded up. `brought` and `fetched` tell whether the
    hoist does it, not people; `margin` how much the dwell leaves to its maximum. `rested` is
    when the place it left has rested, where it has to.
    """

    station: str
    recipe: str
    load: int
    since: Fraction
    until: Fraction
    least: Fraction
    most: Fraction | None
    dwell: Decimal | None
    brought: bool
    fetched: bool
    margin: Margin = "enough"
    rested: Fraction | None = None


Place = str | Fraction


@dataclass(frozen=True)
class Near:
    """Where two neighbouring hoists are nearest to one another: time, and both positions."""

    time: Fraction
    here: Fraction
    there: Fraction


@dataclass(frozen=True)
class Leg:
    """A piece of a hoist's path: points in time and place, straight lines between them.

    A place is a station, or a position where there are several hoists, of which `hoist` is
    the number in track order.
    """

    kind: Literal["loaded", "empty", "waiting"]
    points: tuple[tuple[Fraction, Place], ...]
    hoist: int = 0


@dataclass(frozen=True)
class Scene:
    """Everything between the left and the right edge of the diagram.

    `span` is the time shown, `tick` the schedule's grid, `steady` whether it is a
    repeating cycle, `wrong` the broken rules, by (time, station, number
    from 1).
    """

    cycle_time: Fraction
    span: Fraction
    tick: Fraction
    steady: bool
    bars: tuple[Bar, ...]
    legs: tuple[Leg, ...]
    wrong: tuple[tuple[Fraction, str, int], ...]
    moves: int
    loads: int
    hoists: tuple[str, ...] = ()
    near: tuple[Near, ...] = ()


def scene_of(problem: Problem, replay: Replay, cycles: int = 2) -> Scene:
    """The repeating cycle of a replay, set side by side `cycles` times.

    A replay that found no repeating cycle is shown as it went, where it is busiest.

    Raises
    ------
    InputError
        When the replay saw no move, or `cycles` is out of range.
    """
    if not 1 <= cycles <= MOST_CYCLES:
        raise InputError(f"1 to {MOST_CYCLES} cycles to draw", value=cycles)
    if not replay.runs:
        raise InputError(
            "a schedule whose moves could be replayed",
            way_out="There is nothing to draw; see what the checker says about it.",
        )
    steady = replay.steady_cycles > 0
    cycle, tick = replay.cycle_time, tick_of(replay.schedule)
    first = replay.steady_from if steady else _busiest(replay, cycles)
    origin, span = first * cycle, cycles * cycle
    shown = cycle if steady else span
    runs = [run for run in replay.runs if origin <= run.start < origin + shown]
    if steady:
        stays = [stay for stay in replay.stays if origin <= stay.since < origin + cycle]
    else:
        stays = list(replay.stays)
    bars = [_bar(problem, stay, origin, span, tick) for stay in stays]
    several = len(problem.hoists) > 1
    near: list[Near] = []
    if several:
        # Each goes its way in every cycle, whether or not there is a load to carry.
        ways = [Leg(way.kind, way.points, way.hoist) for way in courses(replay)]
        legs = [again for leg in ways for again in _repeated_leg(leg, cycle, span)]
        near = [
            Near(found.time % cycle + turn * cycle, found.here, found.there)
            for found in approaches(replay)
            for turn in range(cycles)
        ]
    else:
        legs = [leg for run in runs for leg in _legs(run, origin)]
    if steady:
        bars = [again for bar in bars for again in _repeated_bar(bar, cycle, span)]
    if steady and not several:
        legs = [again for leg in legs for again in _repeated_leg(leg, cycle, span)]
    return Scene(
        cycle_time=cycle,
        span=span,
        tick=tick,
        steady=steady,
        bars=tuple(sorted((bar for bar in bars if _in_view(bar, span)), key=_by_time)),
        legs=tuple(sorted(legs, key=lambda leg: leg.points[0][0])),
        wrong=tuple(_wrong(replay.violations, origin, cycle, span)),
        moves=len(runs) if steady else len({run.step for run in replay.runs}),
        loads=len({run.load for run in replay.runs}),
        hoists=tuple(hoist.name or "" for hoist in problem.hoists) if several else (),
        near=tuple(near),
    )


def _in_view(bar: Bar, span: Fraction) -> bool:
    # At an end of the line without a least time a carrier comes and goes in an instant.
    instant = bar.since == bar.until == bar.least and bar.most is None
    return (bar.rested or bar.until) > 0 and bar.since < span and not instant


def _by_time(bar: Bar) -> tuple[Fraction, str, int]:
    return bar.since, bar.station, bar.load


def _busiest(replay: Replay, cycles: int) -> int:
    """The first cycle of the `cycles` in a row that hold most moves."""
    starts = [int(run.start // replay.cycle_time) for run in replay.runs]
    firsts = range(min(starts), max(starts) + 1)
    return max(firsts, key=lambda first: sum(first <= s < first + cycles for s in starts))


def _bar(
    problem: Problem, stay: CarrierStay, origin: Fraction, span: Fraction, tick: Fraction
) -> Bar:
    since = stay.since - origin
    until = None if stay.until is None else stay.until - origin
    if until is None:
        recipe = problem.recipe_by_name.get(stay.recipe)
        taken_by_hand = recipe is not None and stay.stage > len(recipe.stages)
        # By hand no later than it may; else it is not seen to leave within the diagram.
        until = since + stay.least if taken_by_hand else max(span, since) + 1
    rest = Fraction(problem.station_by_name[stay.station].min_rest)
    return Bar(
        station=stay.station,
        recipe=stay.recipe,
        load=stay.load,
        since=since,
        until=until,
        least=since + stay.least,
        most=None if stay.most is None else since + stay.most,
        dwell=None if stay.dwell is None else as_decimal(stay.dwell, tick),
        brought=stay.arrived_by is not None,
        fetched=stay.left_by is not None,
        margin=_margin(stay, tick),
        rested=until + rest if rest and stay.left_by is not None else None,
    )


def _margin(stay: CarrierStay, tick: Fraction) -> Margin:
    if stay.most is None or stay.dwell is None:
        return "enough"
    window = stay.most - stay.eased - stay.least
    return margin_size(as_decimal(stay.most - stay.dwell, tick, "down"), window)


def _legs(run: HoistRun, origin: Fraction) -> Iterator[Leg]:
    start, end = run.start - origin, run.end - origin
    arrived = start - run.waited
    if run.came_from is not None and run.empty > 0:
        left = arrived - run.empty
        yield Leg("empty", ((left, run.came_from), (arrived, run.source)))
    if run.waited > 0:
        yield Leg("waiting", ((arrived, run.source), (start, run.source)))
    if run.lift is None or run.travel is None:
        yield Leg("loaded", ((start, run.source), (end, run.target)))
        return
    leaves = start + run.lift + run.drip
    over = leaves + run.travel
    yield Leg(
        "loaded",
        ((start, run.source), (leaves, run.source), (over, run.target), (end, run.target)),
    )


def _shifts(since: Fraction, until: Fraction, cycle: Fraction, span: Fraction) -> range:
    """The repetitions of something lasting from `since` to `until` that are in view."""
    first = int(-until // cycle) + 1
    last = int(-((since - span) // cycle)) - 1
    return range(first, last + 1)


def _repeated_bar(bar: Bar, cycle: Fraction, span: Fraction) -> Iterator[Bar]:
    for shift in _shifts(bar.since, bar.rested or bar.until, cycle, span):
        by = shift * cycle
        yield replace(
            bar,
            since=bar.since + by,
            until=bar.until + by,
            least=bar.least + by,
            most=None if bar.most is None else bar.most + by,
            rested=None if bar.rested is None else bar.rested + by,
        )


def _repeated_leg(leg: Leg, cycle: Fraction, span: Fraction) -> Iterator[Leg]:
    for shift in _shifts(leg.points[0][0], leg.points[-1][0], cycle, span):
        by = shift * cycle
        yield replace(leg, points=tuple((time + by, station) for time, station in leg.points))


def _wrong(
    violations: tuple[Violation, ...], origin: Fraction, cycle: Fraction, span: Fraction
) -> Iterator[tuple[Fraction, str, int]]:
    """Where rules are broken; a replay tells each fault once, it happens in every cycle."""
    for number, violation in enumerate(violations, start=1):
        time = (violation.time - origin) % cycle
        while time < span:
            yield time, violation.station, number
            time += cycle
