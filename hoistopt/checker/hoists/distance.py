"""Several hoists on one track: where each of them is, and how far from its neighbours.

Each goes its way in every cycle, whether or not there is a load for it to carry, so one cycle
shows all there is to see.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from itertools import pairwise

from ...base.numbers.decimals import brief
from ...problem import Problem
from ..events import Record
from ..findings import Findings
from ..plan import Plan
from .ways import Doing, OnTable, Piece, all_doings


@dataclass(frozen=True)
class Nearest:
    """When two neighbours are nearest to one another in a cycle, and where they are then.

    `left` is the number of the one with the lesser position, in track order; `time` is in the
    problem's unit.
    """

    left: int
    time: Fraction
    here: Fraction
    there: Fraction

    @property
    def distance(self) -> Fraction:
        """Between their middles, in the problem's unit of length."""
        return self.there - self.here


def hoists_keep_apart(findings: Findings, _: Record) -> None:
    """No hoist is where it cannot be, and no two are ever closer than the clearance."""
    plan = findings.plan
    problem = plan.table.problem
    if len(problem.hoists) == 1:
        return
    does = all_doings(plan.table, plan.parts)
    kept = [_in_time(findings, doing) for doing in does]
    if not all(kept) or not _idle_at_an_end(findings, does):
        return  # where a hoist is cannot be told
    _travels_used(findings, does)
    for hoist, doing in enumerate(does):
        _on_the_track(findings, hoist, doing)
    for nearest in nearest_neighbours(plan, does):
        if problem.track is not None:
            clearance = Fraction(problem.track.clearance)
            _too_close(findings, nearest, clearance, does[nearest.left])


def _idle_at_an_end(findings: Findings, does: list[list[Doing]]) -> bool:
    """A hoist that makes no move stands at an end of the track, out of the way of all others."""
    busy = [hoist for hoist, doing in enumerate(does) if doing]
    for hoist in range(busy[0], busy[-1]) if busy else ():
        if not does[hoist]:
            name = findings.plan.table.problem.hoists[hoist].name
            findings.add_whole(
                "clearance",
                f"Hoist {name} makes no move, but hoists on both sides of it do: where it is "
                "meanwhile is not told.",
            )
            return False
    return True


def _in_time(findings: Findings, does: list[Doing]) -> bool:
    """Everything begins where the hoist is, and once it is there; tell whether it does."""
    kept = True
    plan = findings.plan
    cycle, tolerance, shown = plan.table.cycle, plan.table.clock.tolerance, findings.time
    unit = plan.table.problem.length_unit
    for place, before in enumerate(does):
        turned, after = next_doing(does, place, cycle)
        ready = before.ready if after.step else before.until
        if after.since + turned < ready - tolerance:
            kept = False
            _note(
                findings,
                after,
                f"it begins at {shown(after.since)}, but the hoist is there and ready at "
                f"{shown(ready - turned)} only ({shown(ready - turned - after.since)} too early)",
            )
        elif before.there != after.here:
            kept = False
            _note(
                findings,
                after,
                f"it begins at position {where(after.here, unit)}, but the hoist is at "
                f"{where(before.there, unit)}",
            )
    return kept


def next_doing(does: list[Doing], place: int, cycle: int) -> tuple[int, Doing]:
    """What a hoist does next, and how much later that is than its own time says."""
    after = does[(place + 1) % len(does)]
    turned = 0
    while after.since + turned < does[place].since or (len(does) == 1 and not turned):
        turned += cycle
    return turned, after


def _travels_used(findings: Findings, does: list[list[Doing]]) -> None:
    """Every travel that is stated is made."""
    made = {doing.number for each in does for doing in each if not doing.step}
    unit = findings.plan.table.problem.length_unit
    for number, travel in enumerate(findings.plan.table.schedule.travels):
        if number not in made:
            findings.add_whole(
                "impossible move",
                f"Travel {number + 1}, of hoist {travel.hoist} to {where(travel.to, unit)}: no "
                "such hoist makes any move.",
                travel=number + 1,
            )


def _on_the_track(findings: Findings, hoist: int, does: list[Doing]) -> None:
    """A hoist stays in its range and on the track, and leaves the others room beyond it.

    That includes those that make no move and stand at an end of the track.
    """
    problem = findings.plan.table.problem
    low, high = room_of(problem, hoist)
    for doing in does:
        # Of a travel that is not stated nothing is told but by the step it leads to.
        ends = (doing.here, doing.there) if doing.step else (doing.there,)
        outside = next((end for end in ends if not low <= end <= high), None)
        if outside is not None:
            _note(findings, doing, outside_text(outside, low, high, problem.length_unit))


def room_of(problem: Problem, hoist: int) -> tuple[Fraction, Fraction]:
    """Between which positions a hoist may be at all, by its number in track order."""
    track = problem.track
    at = [station.position for station in problem.stations if station.position is not None]
    begins = min(at) if track is None or track.from_ is None else track.from_
    finishes = max(at) if track is None or track.to is None else track.to
    clearance = Decimal(0) if track is None else track.clearance
    least, most = [], []
    for number, one in enumerate(problem.hoists):
        room = abs(number - hoist) * clearance
        from_, to = (
            problem.station_by_name[end].position if isinstance(end, str) else end
            for end in (one.from_, one.to)
        )
        if number <= hoist:
            least += [begins + room, *([] if from_ is None else [from_ + room])]
        if number >= hoist:
            most += [finishes - room, *([] if to is None else [to - room])]
    return Fraction(max(least)), Fraction(min(most))


def outside_text(at: Fraction, low: Fraction, high: Fraction, unit: str) -> str:
    """A sentence that says that a hoist is where it may not be, and where it may."""
    return (
        f"the hoist is at {where(at, unit)}, and it may be from {where(low, unit)} to "
        f"{where(high, unit)}, as the hoists beyond it need room"
    )


def nearest_neighbours(plan: Plan, does: list[list[Doing]]) -> list[Nearest]:
    """The least distance in a cycle of every two neighbours that both make moves."""
    found = (_nearest(plan, left, *two) for left, two in enumerate(pairwise(does)) if all(two))
    return [nearest for nearest in found if nearest is not None]


def _nearest(plan: Plan, left: int, does: list[Doing], others: list[Doing]) -> Nearest | None:
    cycle, per_unit = plan.table.cycle, plan.table.clock.per_unit
    best: Nearest | None = None
    ways = _whole_cycle(does, cycle, high=True), _whole_cycle(others, cycle, high=False)
    for one, other in together(*ways):
        for time in turning_points(one, other):
            here, there = one.at(time), other.at(time)
            if best is None or there - here < best.distance:
                best = Nearest(left, time / per_unit, here, there)
    return best


def _whole_cycle(does: list[Doing], cycle: int, *, high: bool) -> list[Piece]:
    """A way over one cycle from time 0 on, with the rests in it: where the hoist may be at the
    most, or at the least."""
    pieces: list[Piece] = []
    for place, doing in enumerate(does):
        pieces += doing.high if high else doing.low
        turned, after = next_doing(does, place, cycle)
        if after.since + turned > doing.until:
            pieces.append(Piece(doing.until, after.since + turned, doing.there))
    turned_in = [
        Piece(p.since + shift, p.until + shift, p.position, p.speed, p.bend)
        for p in pieces
        for shift in (-2 * cycle, -cycle, 0, cycle)
        if p.until + shift > 0 and p.since + shift < cycle and p.until > p.since
    ]
    return sorted(turned_in, key=lambda piece: piece.since)


def together(ones: list[Piece], others: list[Piece]) -> Iterator[tuple[Piece, Piece]]:
    """All pairs of pieces with a time in common."""
    first = 0
    for one in ones:
        while first < len(others) and others[first].until < one.since:
            first += 1
        for other in others[first:]:
            if other.since > one.until:
                break
            yield one, other


def turning_points(one: Piece, other: Piece) -> Iterator[Fraction]:
    """Times at which the distance of two ways may be least."""
    since, until = Fraction(max(one.since, other.since)), Fraction(min(one.until, other.until))
    if since > until:
        return
    yield since
    yield until
    bend = other.bend - one.bend
    if bend > 0:
        # The derivative of the distance is 0 there.
        change = (other.speed - 2 * other.bend * other.since) - (
            one.speed - 2 * one.bend * one.since
        )
        time = -change / (2 * bend)
        if since < time < until:
            yield time


def shortfall(table: OnTable, count: int) -> Fraction:
    """Distance by which square roots that were cut off may put a hoist off that does so much."""
    clock, problem = table.clock, table.problem
    fastest = max(Fraction(m.speed) for h in problem.hoists for m in (h.loaded, h.empty) if m)
    return fastest * Fraction(clock.tolerance * count, clock.per_unit)


def _too_close(
    findings: Findings, nearest: Nearest, clearance: Fraction, does: list[Doing]
) -> None:
    plan = findings.plan
    clock, problem = plan.table.clock, plan.table.problem
    if nearest.distance >= clearance - shortfall(plan.table, len(does)):
        return
    a, b = problem.hoists[nearest.left].name, problem.hoists[nearest.left + 1].name
    unit = problem.length_unit
    apart = f"{where(abs(nearest.distance), unit)} apart"
    if nearest.distance < 0:
        apart += ", on the wrong side of one another"
    instant = nearest.time * clock.per_unit
    number, time = _latest(does, instant), round(instant)
    findings.add(
        "clearance",
        number,
        plan.firsts[number] or 0,
        time,
        f"at {findings.time(time)} of a cycle hoist {a} is at {where(nearest.here, unit)} and "
        f"hoist {b} at {where(nearest.there, unit)}, {apart}; the clearance is "
        f"{where(clearance, unit)}",
        apart=(nearest.distance, clearance),
        kind=nearest.left,
    )


def _latest(does: list[Doing], time: Fraction) -> int:
    """The step that a hoist began last."""
    steps = [doing for doing in does if doing.step]
    begun = [doing for doing in steps if doing.since <= time]
    return (begun or steps)[-1].number


def _note(findings: Findings, doing: Doing, text: str) -> None:
    if doing.step:
        plan = findings.plan
        cycle = plan.firsts[doing.number] or 0
        time = plan.table.starts[doing.number] + cycle * plan.table.cycle
        findings.add("hoist in two places", doing.number, cycle, time, text, kind="way")
        return
    travels = findings.plan.table.schedule.travels
    if doing.number < 0:
        return  # told by the step it leads to
    travel = travels[doing.number]
    to = where(travel.to, findings.plan.table.problem.length_unit)
    findings.add_whole(
        "hoist in two places",
        f"Travel {doing.number + 1}, of hoist {travel.hoist} to {to}: {text}.",
        travel=doing.number + 1,
    )


def where(position: Fraction, unit: str) -> str:
    """A position, or a distance, in words: to a thousandth of the unit of length."""
    return f"{brief(position)} {unit}"
