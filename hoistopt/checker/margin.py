"""The margin that the problem asks for: slack below every maximum, float after every start.

Float: in any cycle any of the moves may start so much later than planned, and all others
start on time. A late move ends late. So everything that follows the end of a move, or its
start, must leave that much time; and a dwell ends that much later where the move out of it
is late.

Of several hoists travels may be late as well, and it is asked how much of a lateness is left at the
moves that wait for them. The solver has travels on time as stated, beginning once a late move would
be over, so that none is late for a move because another is.
"""

from __future__ import annotations

from .events import Record
from .findings import Findings
from .hoists.late_hoists import rooms_between
from .plan import Plan
from .queueing import Link
from .turnround import turnrounds


def margin_kept(findings: Findings, _: Record) -> None:
    """Slack and float are at least what the problem asks for."""
    plan = findings.plan
    if not plan.table.problem.asks_margin:
        return
    late = _Late(plan)
    _below_maxima(findings, late)
    _above_minima(findings, late)
    if len(plan.table.problem.hoists) == 1:
        _hoist_between(findings, late)
    else:
        _hoists_between(findings, late)
    _rested(findings, late)
    _spaced_at_ends(findings, late)
    _carriers_in_time(findings, late)


class _Late:
    """What the problem asks for, by step: float of the step, slack of the dwell it ends."""

    def __init__(self, plan: Plan) -> None:
        problem, exact = plan.table.problem, plan.table.clock.exact
        line = tuple(exact(part) for part in problem.line_margin)
        self.slack: list[int] = []
        self.float: list[int] = []
        for leg in plan.legs:
            asked = line
            if leg is not None and 0 < leg.leaves < plan.table.routes.last(leg.recipe):
                stage = problem.recipe_by_name[leg.recipe].stages[leg.leaves - 1]
                asked = tuple(exact(part) for part in problem.margin_of(stage))
            self.slack.append(asked[0])
            self.float.append(asked[1])


def _note(findings: Findings, number: int, kind: str, has: int, asked: int, what: str) -> None:
    plan, shown = findings.plan, findings.time
    cycle = plan.firsts[number] or 0
    time = plan.table.starts[number] + cycle * plan.table.cycle
    findings.add(
        "margin",
        number,
        cycle,
        time,
        f"{what} {shown(max(0, has))}, at least {shown(asked)} asked for "
        f"({shown(asked - has)} too little)",
        found=has,
        limit=asked,
        kind=kind,
    )


def _below_maxima(findings: Findings, late: _Late) -> None:
    """No dwell is longer than its maximum less the slack, nor with a late move out of it."""
    plan = findings.plan
    for number, leg in enumerate(plan.legs):
        link = plan.links.get(number)
        if leg is None or link is None or leg.leaves == 0:
            continue
        asked = max(late.slack[number], late.float[number])
        window = plan.table.routes.window(leg.recipe, leg.leaves, plan.table.steps[number].source)
        if not asked or window.most is None:
            continue
        room = window.most - window.eased - link.dwell
        if room < asked - plan.table.clock.tolerance:
            text = "the dwell that this step ends lies below its maximum by"
            _note(findings, number, "maximum", room, asked, text)


def _above_minima(findings: Findings, late: _Late) -> None:
    """A carrier that was set down late has stood its minimum when it is lifted on time."""
    plan = findings.plan
    for number, leg in enumerate(plan.legs):
        link = plan.links.get(number)
        if leg is None or link is None or leg.leaves == 0:
            continue
        asked = late.float[link.before]
        window = plan.table.routes.window(leg.recipe, leg.leaves, plan.table.steps[number].source)
        room = link.dwell - window.least
        if asked and room < asked - plan.table.clock.tolerance:
            text = f"this step leaves step {link.before + 1}, which brings its carrier, a float of"
            _note(findings, number, "minimum", room, asked, text)


def _hoist_between(findings: Findings, late: _Late) -> None:
    """After a late move the hoist is in time for every later one."""
    plan = findings.plan
    table, count = plan.table, len(plan.legs)
    for before in range(count):
        parts, asked = plan.parts[before], late.float[before]
        if parts is None or not asked:
            continue
        for after in range(count):
            step = table.steps[after]
            empty = table.times.empty(table.steps[before].target, step.source)
            if empty is None:
                continue
            apart = table.starts[after] - table.starts[before]
            apart += 0 if before < after else table.cycle
            room = apart - parts.total - empty
            if room < asked - table.clock.tolerance:
                text = f"the hoist leaves step {before + 1}, after which it comes here, a float of"
                _note(findings, after, f"hoist {before}", room, asked, text)


def _hoists_between(findings: Findings, late: _Late) -> None:
    """After a late move no hoist, its own or another, is late for a later one.

    Empty travels between may be late. Where hoists come too close as planned, that is told.
    """
    if not any(late.float) or findings.any_of("clearance", "hoist in two places"):
        return
    tolerance = findings.plan.table.clock.tolerance
    for before, after, room in rooms_between(findings.plan):
        asked = late.float[before]
        if asked and room < asked - tolerance:
            text = f"the hoists leave step {before + 1}, for which this one waits, a float of"
            _note(findings, after, f"hoist {before}", room, asked, text)


def _rested(findings: Findings, late: _Late) -> None:
    """A place has rested for the next carrier though the one before was lifted late.

    Of carriers numbered in the order in which they come, number n has a place once the one that
    left as number n - capacity has been gone for long enough.
    """
    plan = findings.plan
    table = plan.table
    for station in table.problem.stations:
        if not station.min_rest or not isinstance(station.capacity, int):
            continue
        rest = table.clock.exact(station.min_rest)
        lifts = [
            number
            for number, leg in enumerate(plan.legs)
            if leg is not None and leg.leaves and number in plan.links
            if table.steps[number].source == station.name
        ]
        comes = sorted(plan.links[number].before for number in lifts)
        standing = sum(plan.links[number].boundaries for number in lifts)
        for rank, after in enumerate(comes):
            cycles, which = divmod(rank + standing - station.capacity, len(lifts))
            before = lifts[which]
            asked = late.float[before]
            lifted = table.starts[before] + cycles * table.cycle
            room = plan.end(after) - lifted - rest
            if asked and room < asked - table.clock.tolerance:
                text = f"the rest of {station.name} leaves step {before + 1}, which lifts there,"
                _note(findings, after, f"rest {before}", room, asked, f"{text} a float of")


def _spaced_at_ends(findings: Findings, late: _Late) -> None:
    """At ends served from outside one of the places is ready again after a late move."""
    plan = findings.plan
    table = plan.table
    if table.routes.by_hoist:
        return
    for station in table.problem.stations:
        least = table.clock.exact(station.min_occupation)
        if station.kind not in ("load", "unload") or station.capacity == "unlimited" or not least:
            continue
        at_end = station.kind == "unload"
        times = sorted(
            (plan.end(number) if at_end else table.starts[number], number)
            for number, step in enumerate(table.steps)
            if (step.target if at_end else step.source) == station.name
        )
        for position, (time, number) in enumerate(times):
            cycles, other = divmod(position + station.capacity, len(times))
            apart = times[other][0] + cycles * table.cycle - time
            room, asked = apart - least, late.float[number]
            if asked and room < asked - table.clock.tolerance:
                text = f"the minimum occupation of {station.name} leaves this step a float of"
                _note(findings, number, f"end {station.name}", room, asked, text)


def _carriers_in_time(findings: Findings, late: _Late) -> None:
    """Carriers set down late are ready for the loads that wait for them."""
    plan = findings.plan
    table = plan.table.ending_later(late.float)
    entering = [number for number in range(len(plan.legs)) if plan.begins(number)]
    found = turnrounds(table, plan.legs)
    problem, exact = table.problem, table.clock.exact
    for number in entering:
        link, known = found.get(number), plan.links.get(number)
        station = problem.station_by_name[table.steps[number].source]
        if known is None or not (table.routes.by_hoist or station.kind == "load-unload"):
            continue
        least, asked = exact(station.min_occupation), late.float[known.before]
        room = known.dwell - least if link is None else link.dwell - least + asked
        if asked and (link is None or room < asked - table.clock.tolerance):
            text = f"the carrier that step {known.before + 1} sets down here leaves it a float of"
            _note(findings, number, "carrier", room, asked, text)
    _enough_for_late(findings, found, entering, late)


def _enough_for_late(
    findings: Findings, found: dict[int, Link], entering: list[int], late: _Late
) -> None:
    """As many carriers as there are do, though all of them come late."""
    plan = findings.plan
    count = plan.table.problem.carriers.count
    if count is None or not entering or not any(late.float):
        return
    within = sum(link.boundaries for number, link in plan.links.items() if number not in entering)
    turning = sum(link.boundaries for link in found.values())
    if within + turning > count:
        one = plan.table.clock.per_unit
        number = entering[0]
        findings.add(
            "margin",
            number,
            plan.firsts[number] or 0,
            plan.table.starts[number],
            f"with every move as late as its float {within + turning} carriers circulate, but "
            f"there are only {count}",
            found=(within + turning) * one,
            limit=count * one,
            kind="carriers",
        )
