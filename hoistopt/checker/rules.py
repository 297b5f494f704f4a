"""The rules that a replay shows kept or broken: dwell, places, hoist, order, carriers.

Each rule looks at the record alone and knows nothing of how the table was read.
"""

from __future__ import annotations

from collections.abc import Callable

from .events import Record, Stay
from .findings import Findings
from .hoist import hoist_has_time, hoist_in_one_place
from .hoists.distance import hoists_keep_apart
from .margin import margin_kept
from .record import Rule


def dwell_windows(findings: Findings, record: Record) -> None:
    """A carrier stands at least the minimum and at most the maximum in every stage."""
    table = findings.plan.table
    tolerance = table.clock.tolerance
    for stay in record.stays:
        if stay.until is None or stay.lifted_by is None:
            continue
        if findings.has("window", stay.lifted_by):
            continue
        dwell, window = stay.until - stay.since, stay.window
        cycle = stay.until // table.cycle
        if dwell < window.least - tolerance:
            findings.add(
                "window",
                stay.lifted_by,
                cycle,
                stay.until,
                f"dwell {findings.time(dwell, 'down')}, min. {findings.time(window.least)} "
                f"({findings.time(window.least - dwell, 'up')} too short)",
                found=dwell,
                limit=window.least,
            )
        elif window.most is not None and dwell > window.most + tolerance:
            findings.add(
                "window",
                stay.lifted_by,
                cycle,
                stay.until,
                f"dwell {findings.time(dwell, 'up')}, max. {findings.time(window.most)} "
                f"({findings.time(dwell - window.most, 'up')} too long)",
                found=dwell,
                limit=window.most,
            )


def never_lifted(findings: Findings, record: Record) -> None:
    """Every carrier that is set down along a recipe is lifted again by some step."""
    plan = findings.plan
    for stay in record.stays:
        number = stay.brought_by
        if number is None or number in plan.lifted_by or stay.gone is not None:
            continue
        most = stay.window.most
        rule: Rule = "impossible move" if most is None else "window"
        if findings.has(rule, number, "never lifted"):
            continue
        findings.add(
            rule,
            number,
            stay.cycle,
            stay.since,
            f"no step lifts the carrier set down here at {findings.time(stay.since)}, so the load "
            "never leaves the line"
            + ("" if most is None else f"; the max. dwell is {findings.time(most)}"),
            station=stay.station,
            limit=most,
            kind="never lifted",
        )


def places(findings: Findings, record: Record) -> None:
    """A station never holds more carriers than it has places."""
    stations = findings.plan.table.problem.station_by_name
    by_station: dict[str, list[Stay]] = {}
    for stay in record.stays:
        by_station.setdefault(stay.station, []).append(stay)
    for name, stays in by_station.items():
        capacity = stations[name].capacity
        if isinstance(capacity, int):
            _places_at(findings, name, capacity, stays)


def _arrives(stay: Stay) -> tuple[int, float]:
    # At one and the same time, what the hoist did first came first; a hand waits for
    # the hoist to clear the place, and clears it before the hoist comes.
    return stay.since, float("inf") if stay.since_run is None else 2 * stay.since_run + 1


def _leaves(stay: Stay) -> tuple[int, float] | None:
    if stay.gone is None:
        return None
    return stay.gone, -1 if stay.until_run is None else 2 * stay.until_run


def _places_at(findings: Findings, name: str, capacity: int, stays: list[Stay]) -> None:
    tolerance = findings.plan.table.clock.tolerance
    standing: list[Stay] = []
    for stay in sorted(stays, key=_arrives):
        arrives = _arrives(stay)
        standing = [other for other in standing if _still(other, arrives, tolerance)]
        standing.append(stay)
        if len(standing) <= capacity:
            continue
        number = stay.brought_by
        # A hand puts a carrier down in the fill only where one would stand later on.
        if number is not None and not findings.has("double occupation", number):
            _too_many(findings, name, capacity, stay, standing[:-1], number)
        # One fault is told once: go on as though the place had been free.
        standing = standing[-capacity:]


def _too_many(
    findings: Findings, name: str, capacity: int, stay: Stay, others: list[Stay], number: int
) -> None:
    shown = findings.time
    held = "a carrier stands" if len(others) == 1 else f"{len(others)} carriers stand"
    text = f"carrier set down at {shown(stay.since)} while {held} there"
    leaving = [other.gone for other in others if other.gone is not None]
    if leaving:
        first = min(leaving)
        text += f" until {shown(first)} ({shown(first - stay.since)} too early)"
    else:
        text += ", which no step lifts"
    if capacity > 1:
        text += f"; there are {capacity} places"
    one = findings.plan.table.clock.per_unit
    findings.add(
        "double occupation",
        number,
        stay.cycle,
        stay.since,
        text,
        station=name,
        found=(len(others) + 1) * one,
        limit=capacity * one,
    )


def _still(stay: Stay, moment: tuple[int, float], tolerance: int) -> bool:
    """Whether a carrier stands there yet when another arrives."""
    leaves = _leaves(stay)
    if leaves is None:
        return True
    if stay.until_run is None:
        return leaves[0] > moment[0] + tolerance
    return leaves > moment


def places_rest(findings: Findings, record: Record) -> None:
    """From a carrier's lifting until the next is set down in its place, the place rests."""
    table = findings.plan.table
    by_station: dict[str, list[Stay]] = {}
    for stay in record.stays:
        if table.problem.station_by_name[stay.station].min_rest:
            by_station.setdefault(stay.station, []).append(stay)
    for name, stays in by_station.items():
        capacity = table.problem.station_by_name[name].capacity
        assert isinstance(capacity, int)
        rest = table.clock.exact(table.problem.station_by_name[name].min_rest)
        _rests_at(findings, capacity, rest, stays)


def _rests_at(findings: Findings, capacity: int, rest: int, stays: list[Stay]) -> None:
    """The places of one station are alike: a carrier gets the one that was left first."""
    tolerance = findings.plan.table.clock.tolerance
    used: list[Stay] = []
    for stay in sorted(stays, key=_arrives):
        # Who still stands there takes a place; that too many do is a fault of its own.
        standing = [other for other in used if other.gone is None or other.gone > stay.since]
        rested = [
            other
            for other in used
            if other not in standing and (other.gone or 0) + rest <= stay.since + tolerance
        ]
        resting = [other for other in used if other not in standing and other not in rested]
        used = [*standing, *resting]
        free = capacity - len(standing)
        number = stay.brought_by
        if resting and len(resting) >= free > 0:
            first = min(resting, key=lambda other: other.gone or 0)
            used.remove(first)
            if number is not None and not findings.has("rest", number):
                _too_soon(findings, rest, first, stay, number)
        used.append(stay)


def _too_soon(findings: Findings, rest: int, first: Stay, stay: Stay, number: int) -> None:
    shown = findings.time
    assert first.gone is not None
    since = stay.since - first.gone
    findings.add(
        "rest",
        number,
        stay.cycle,
        stay.since,
        f"carrier set down at {shown(stay.since)}, {shown(since)} after the one before it in its "
        f"place was lifted; the place rests for {shown(rest)} ({shown(rest - since)} too early)",
        station=stay.station,
        found=since,
        limit=rest,
    )


def order_of_leaving(findings: Findings, record: Record) -> None:
    """Carriers leave a station that keeps order in the order in which they came."""
    stations = findings.plan.table.problem.station_by_name
    by_station: dict[str, list[Stay]] = {}
    for stay in record.stays:
        station = stations[stay.station]
        if stay.stage == 0:  # empty carriers are alike
            continue
        if station.order == "fifo" and isinstance(station.capacity, int) and station.capacity > 1:
            by_station.setdefault(stay.station, []).append(stay)
    for stays in by_station.values():
        _order_at(findings, stays)


def _order_at(findings: Findings, stays: list[Stay]) -> None:
    latest: Stay | None = None
    leaving = [stay for stay in stays if stay.until_run is not None]
    for stay in sorted(leaving, key=lambda stay: stay.until_run or 0):
        if latest is not None and _arrives(stay) < _arrives(latest) and latest.until is not None:
            assert latest.lifted_by is not None
            if findings.has("order of leaving", latest.lifted_by):
                continue
            findings.add(
                "order of leaving",
                latest.lifted_by,
                latest.until // findings.plan.table.cycle,
                latest.until,
                f"lifts the carrier set down at {findings.time(latest.since)}, before the one set "
                f"down at {findings.time(stay.since)} has left; this station keeps the order",
                found=latest.since,
                limit=stay.since,
            )
        if latest is None or _arrives(stay) > _arrives(latest):
            latest = stay


def enough_carriers(findings: Findings, record: Record) -> None:
    """No more carriers circulate than there are."""
    plan = findings.plan
    count = plan.table.problem.carriers.count
    entering = [number for number in range(len(plan.legs)) if plan.begins(number)]
    if count is None or not entering:
        return
    number, cycle, time = entering[0], 0, plan.table.starts[entering[0]]
    if len(record.carriers) > count:
        number, cycle, time = record.carriers[count]
        text = f"carrier number {count + 1} is needed here, but there {_are(count)}"
    elif not all(plan.comes_back(number) for number in entering):
        text = f"carriers leave from here and do not come back; there {_are(count)}"
    elif plan.carriers > count:
        text = f"{plan.carriers} carriers circulate, but there {_are(count)}"
    else:
        return
    one = plan.table.clock.per_unit
    needed = max(plan.carriers, count + 1)
    findings.add("carriers", number, cycle, time, text, found=needed * one, limit=count * one)


def _are(count: int) -> str:
    return "is only 1" if count == 1 else f"are only {count}"


ALL: tuple[Callable[[Findings, Record], None], ...] = (
    dwell_windows,
    never_lifted,
    places,
    places_rest,
    hoist_in_one_place,
    hoist_has_time,
    hoists_keep_apart,
    order_of_leaving,
    enough_carriers,
    margin_kept,
)
