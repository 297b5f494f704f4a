"""The replay itself: cycle after cycle from an empty line, step after step.

A step whose carrier is not there yet is skipped and its time kept; the hoist stays where
it is and travels straight to the source of the next step it executes. Nothing is judged
here; whatever the table says is done, and recorded for the rules to look at.
"""

from __future__ import annotations

from ..base.errors import InputError
from .events import Record, Run, Stay
from .plan import Plan

MOST_RUNS = 1_000_000
_STEADY_AFTER = 2
State = tuple[frozenset[tuple[int, int]], frozenset[tuple[int, int]]]


def simulate(plan: Plan, cycles: int | None = None) -> Record:
    """Replay a plan: fill, steady state, run-out.

    Parameters
    ----------
    plan : Plan
    cycles : int, optional
        Cycles in which loads enter; by default until the state of the line at the start
        of a cycle repeats, and two cycles more.

    Raises
    ------
    InputError
        When filling the line takes so many steps that no real line is meant.
    """
    needed = max((first for first in plan.firsts if first is not None), default=0)
    _check_effort(plan, 2 * (needed if cycles is None else cycles) + needed)
    line = _Line(plan)
    before: State | None = None
    while cycles is None or line.cycle < cycles:
        state = line.state()
        if before is not None and state == before:
            break
        before = state
        line.run_cycle(loading=True)
    else:
        before = None
    record = line.record
    if before is not None and record.runs:
        record.steady_from = line.cycle - 1
        more = _STEADY_AFTER if cycles is None else cycles - line.cycle
        record.steady_cycles = 1 + more
        for _ in range(more):
            line.run_cycle(loading=True)
    record.loading_cycles = line.cycle
    for _ in range(needed):
        line.run_cycle(loading=False)
    record.cycles = line.cycle
    return record


def _check_effort(plan: Plan, cycles: int) -> None:
    runs = cycles * len(plan.table.steps)
    if runs > MOST_RUNS:
        raise InputError(
            f"a table that can be replayed in {MOST_RUNS} steps",
            field="moves",
            value=f"{cycles} cycles of {len(plan.table.steps)} steps",
            way_out="Check the number of moves, the capacities and the cycle time.",
        )


class _Line:
    """The line at one moment of the replay."""

    def __init__(self, plan: Plan) -> None:
        self.plan = plan
        self.record = Record()
        self.cycle = 0
        self._standing: dict[tuple[int, int], Stay] = {}
        self._lifts: dict[str, list[int]] = {}
        self._last: dict[int, Run] = {}
        self._order = range(len(plan.table.steps))
        self._in_line = [self._stays_in_line(number) for number in self._order]

    def _stays_in_line(self, number: int) -> bool:
        """Whether what a step sets down stands in the line until the hoist lifts it."""
        plan, steps = self.plan, self.plan.table.steps
        after = plan.lifted_by.get(number)
        if after is None:
            return False
        station = plan.table.problem.station_by_name[steps[number].target]
        here = steps[after].source == station.name
        return here and (station.capacity != "unlimited" or not plan.begins(after))

    def state(self) -> State:
        """Who stands in the line since when, and each hoist's last move, seen from now.

        Left out are carriers that no step ever lifts, which pile up, and empty ones on
        their way back outside.
        """
        standing = frozenset(
            (number, self.cycle - cycle)
            for number, cycle in self._standing
            if self._in_line[number]
        )
        last = frozenset((run.number, self.cycle - run.cycle) for run in self._last.values())
        return standing, last

    def run_cycle(self, *, loading: bool) -> None:
        """One cycle, with or without new loads."""
        for number in self._order:
            stay = self._carrier_for(number, loading)
            if stay is None:
                self.record.skipped.append((self.cycle + 1, number + 1))
            else:
                self._execute(number, stay)
        self.cycle += 1

    def _carrier_for(self, number: int, loading: bool) -> Stay | None:
        """The stay the step ends, if its carrier is there."""
        plan = self.plan
        if plan.parts[number] is None or plan.firsts[number] is None:
            return None
        link = plan.links.get(number)
        key = None if link is None else (link.before, self.cycle - link.boundaries)
        if not plan.begins(number):
            return None if key is None else self._standing.pop(key, None)
        if not loading:
            if key is not None:
                self._take_away(number, self._standing.pop(key, None))
            return None
        back = None if key is None else self._standing.pop(key, None)
        return self._for_new_load(number, back)

    def _for_new_load(self, number: int, back: Stay | None) -> Stay:
        """The stay at the load station of the carrier for a new load."""
        plan, step, leg = self.plan, self.plan.table.steps[number], self.plan.legs[number]
        assert leg is not None
        station = plan.table.problem.station_by_name[step.source]
        window = plan.table.routes.window(leg.recipe, 0, step.source)
        lifted = plan.table.starts[number] + self.cycle * plan.table.cycle
        if back is not None and back.station == step.source:
            # The same stay, now the new load's.
            back.recipe, back.load, back.stage = leg.recipe, plan.loads[number], 0
            return back
        link = plan.links.get(number)
        since = lifted - window.least
        if link is not None and plan.table.steps[link.before].target == step.source:
            # By hand, when the carrier brought back would have been set down, or in time.
            back_at = plan.end(link.before) + (self.cycle - link.boundaries) * plan.table.cycle
            since = min(since, back_at)
        elif isinstance(station.capacity, int):
            earlier = self._lifts.setdefault(step.source, [])
            if len(earlier) >= station.capacity:
                since = max(since, earlier[-station.capacity])
            earlier.append(lifted)
        if back is None:
            self.record.carriers.append((number, self.cycle, lifted))
        stay = Stay(
            carrier=len(self.record.carriers) if back is None else back.carrier,
            recipe=leg.recipe,
            load=plan.loads[number],
            stage=0,
            station=step.source,
            window=window,
            since=since,
            cycle=self.cycle,
        )
        self.record.stays.append(stay)
        return stay

    def _take_away(self, number: int, stay: Stay | None) -> None:
        """While the line runs out, by hand and no later than the hoist would have."""
        if stay is not None and stay.gone is None:
            stay.gone = self.plan.table.starts[number] + self.cycle * self.plan.table.cycle

    def _execute(self, number: int, stay: Stay) -> None:
        plan, runs = self.plan, self.record.runs
        step, leg, parts = plan.table.steps[number], plan.legs[number], plan.parts[number]
        assert leg is not None
        assert parts is not None
        start = plan.table.starts[number] + self.cycle * plan.table.cycle
        stay.until = stay.gone = start
        stay.lifted_by, stay.until_run = number, len(runs)
        hoist = plan.table.hoists[number]
        last = self._last.get(hoist)
        run = Run(
            number=number,
            cycle=self.cycle,
            carrier=stay.carrier,
            leg=leg,
            load=plan.loads[number],
            source=step.source,
            target=step.target,
            start=start,
            end=start + parts.total,
            parts=parts,
            came_from=last.target if last else None,
            free=last.end if last else None,
            empty=plan.table.times_of(number).empty(last.target, step.source) if last else None,
            hoist=hoist,
        )
        runs.append(run)
        self._last[hoist] = run
        if leg.reaches is not None:
            self._set_down(run, len(runs) - 1, leg.reaches)

    def _set_down(self, run: Run, index: int, stage: int) -> None:
        plan = self.plan
        window = plan.table.routes.window(run.leg.recipe, stage, run.target)
        stay = Stay(
            carrier=run.carrier,
            recipe=run.leg.recipe,
            load=run.load,
            stage=stage,
            station=run.target,
            window=window,
            since=run.end,
            cycle=run.cycle,
            brought_by=run.number,
            since_run=index,
        )
        after = plan.lifted_by.get(run.number)
        if after is None or plan.table.steps[after].source != run.target:
            routes = plan.table.routes
            if stage == (0 if routes.by_hoist else routes.last(run.leg.recipe)):
                stay.gone = run.end + window.least
        self.record.stays.append(stay)
        self._standing[run.number, run.cycle] = stay
