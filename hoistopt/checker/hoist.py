"""The hoist is in one place at a time, whichever steps are left out.

Of any two steps the later one starts no earlier than the hoist, done with the earlier one,
can be there by the direct way. Between steps that follow one another in the replay this is
what happens. It holds for all other pairs too: a step is left out whenever its carrier is
missing, while the line fills, runs out, or was not given a load, and then the hoist goes
straight to the next one. Measured times make a difference here where the direct way takes
longer than the way by which the steps between lead.
"""

from __future__ import annotations

from itertools import pairwise

from .events import Record, Run
from .findings import Findings
from .plan import Plan


def hoist_in_one_place(findings: Findings, record: Record) -> None:
    """Lifting starts no earlier than the hoist, done with the step before, can be there."""
    for hoist in range(len(findings.plan.table.timetables)):
        _one_hoist(findings, [run for run in record.runs if run.hoist == hoist])


def _one_hoist(findings: Findings, runs: list[Run]) -> None:
    tolerance = findings.plan.table.clock.tolerance
    shown = findings.time
    for before, run in pairwise(runs):
        if run.free is None or run.empty is None:
            continue
        ready = run.free + run.empty
        if run.start < ready - tolerance and not findings.has(
            "hoist in two places", run.number, before.number
        ):
            findings.add(
                "hoist in two places",
                run.number,
                run.cycle,
                run.start,
                f"lifting starts at {shown(run.start)}, but the hoist ends step "
                f"{before.number + 1} at {before.target} at {shown(run.free)} and needs "
                f"{shown(run.empty)} to get here, so it can lift from {shown(ready)} on "
                f"({shown(ready - run.start)} too early)",
                found=run.start,
                limit=ready,
                kind=before.number,
            )


def hoist_has_time(findings: Findings, _: Record) -> None:
    """The hoist gets from each step to any later one in time, were the steps between left out.

    Several hoists make their ways whether or not there is a load to carry, as others give way
    to them: then it never happens.
    """
    if len(findings.plan.table.timetables) > 1:
        return
    running = _Running(findings.plan)
    for place in range(len(running.steps)):
        _after(findings, running, place)


class _Running:
    """The steps that are ever made, in their order, and the time that each takes."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        loaded = {
            number: parts.total
            for number, (parts, first) in enumerate(zip(plan.parts, plan.firsts, strict=True))
            if parts is not None and first is not None
        }
        self.steps = list(loaded)
        self.loaded = loaded
        ends = {plan.table.steps[number].target for number in loaded}
        begins = {plan.table.steps[number].source for number in loaded}
        ways = (plan.table.times.empty(end, begin) for end in ends for begin in begins)
        self.longest = max(loaded.values(), default=0) + max(
            (way for way in ways if way is not None), default=0
        )

    def empty(self, before: int, after: int) -> int | None:
        """Empty travel from the end of one step to the start of another, if it is known."""
        steps = self.plan.table.steps
        return self.plan.table.times.empty(steps[before].target, steps[after].source)


def _after(findings: Findings, running: _Running, place: int) -> None:
    """Look at the steps after one, as far on as the hoist may still be on its way."""
    table, count = running.plan.table, len(running.steps)
    before = last = running.steps[place]
    by_steps = 0
    for turn in range(place + 1, place + count + 1):
        cycles, position = divmod(turn, count)
        after = running.steps[position]
        apart = table.starts[after] + cycles * table.cycle - table.starts[before]
        if apart >= running.longest:
            return
        by_steps += running.loaded[last] + (running.empty(last, after) or 0)
        direct = running.empty(before, after)
        last = after
        if direct is None:
            continue
        direct += running.loaded[before]
        follows = turn == place + 1
        # Else it is kept wherever the steps between have time enough themselves.
        if follows or direct > by_steps:
            if apart < direct - table.clock.tolerance:
                if not follows:  # told by the replay
                    _too_soon(findings, before, after, cycles, direct)
                return
            by_steps = direct


def _too_soon(findings: Findings, before: int, after: int, cycles: int, needed: int) -> None:
    plan, shown = findings.plan, findings.time
    if findings.has("hoist in two places", after, before):
        return
    table = plan.table
    first, later = plan.firsts[before], plan.firsts[after]
    assert first is not None and later is not None
    # The first cycle of the earlier step in which both are made.
    cycle = max(first, later - cycles)
    began = table.starts[before] + cycle * table.cycle
    start = table.starts[after] + (cycle + cycles) * table.cycle
    free, ready = plan.end(before) + cycle * table.cycle, began + needed
    findings.add(
        "hoist in two places",
        after,
        cycle + cycles,
        start,
        f"lifting starts at {shown(start)}, but where the steps since are left out, for want "
        f"of a carrier, the hoist ends step {before + 1} at {table.steps[before].target} at "
        f"{shown(free)} and needs {shown(ready - free)} to get here, so it can lift from "
        f"{shown(ready)} on ({shown(ready - start)} too early)",
        found=start,
        limit=ready,
        kind=before,
    )
