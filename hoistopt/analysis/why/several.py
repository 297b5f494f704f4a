"""What holds the cycle time of a schedule of several hoists, from the checker's reading of it."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from ...checker import Replay, accepted
from ...checker.plan import Plan
from ...graph.algorithms.critical import plainest_circuit
from ...graph.arc import Arc, Part, height_of, joined
from ...graph.pattern import degree_of
from ...graph.several_retiming import shortest
from ...instance import build_instance
from ...problem import Problem
from ...schedule import Schedule
from ...solver.bounds import return_bound
from ...solver.model.several_bounds import asking, hoist_work, tank_turns
from .held import Holding, Piece, from_longest_dwell


def held_by_several(problem: Problem, schedule: Schedule, seen: Replay) -> Holding:
    """What holds the cycle time, by the exact times of the moves and travels of the hoists.

    Parameters
    ----------
    problem, schedule
        As for :func:`hoistopt.what_holds`.
    seen : Replay
        A clean one of the schedule.

    Raises
    ------
    InputError
        When its moves are no whole sets of loads.
    """
    instance = build_instance(problem, degree_of(problem, schedule), several=True)
    found = shortest(seen.plan)
    own = schedule.time(schedule.cycle)
    if found.schedule is not schedule and found.schedule.cycle < schedule.cycle:
        schedule = found.schedule
        seen = accepted(problem, schedule, made_here=True)
        again = shortest(seen.plan)  # its steps may be numbered anew
        graph, circuit = again.graph, again.circuit
    else:
        graph, circuit = found.graph, found.circuit
    exact = found.exact * graph.per_unit
    circuit, alone = plainest_circuit(graph, exact, circuit)
    pieces = _pieces(seen.plan, circuit)
    cycles = max(1, height_of(circuit))
    total = sum((piece.time for piece in pieces), Fraction(0))

    def time(ticks: int) -> Fraction:
        return Fraction(ticks) / instance.ticks_per_unit

    return Holding(
        cycle_time=own,
        least=schedule.time(schedule.cycle),
        exact=total / cycles,
        pieces=pieces,
        total=total,
        cycles=cycles,
        alone=alone,
        hoist_floor=time(hoist_work(instance)),
        # That is one of starts at whole ticks, which the exact time is not.
        turn_floor=min(total / cycles, time(tank_turns(asking(instance, "least")))),
        return_floor=time(return_bound(instance)),
        spare_tanks=_spare_tanks(seen.plan, circuit),
        schedule=schedule,
        replay=seen,
        unit=problem.unit,
    )


def _spare_tanks(plan: Plan, circuit: Sequence[Arc]) -> tuple[str, ...]:
    """Stages in the circuit that have more tanks than a cycle has loads for them."""
    met = {part.move for arc in circuit for part in arc.parts if part.what == "minimum"}
    found = []
    for number in met:
        leg = None if number is None else plan.legs[number]
        if leg is None or leg.reaches is None:
            continue
        stages = plan.table.problem.recipe_by_name[leg.recipe].stages
        if not 1 <= leg.reaches <= len(stages):
            continue
        stage = stages[leg.reaches - 1]
        coming = sum(step.target in stage.station for step in plan.table.steps)
        if coming < len(stage.station):
            found.append(stage.label)
    return tuple(dict.fromkeys(found))


def _pieces(plan: Plan, circuit: Sequence[Arc]) -> tuple[Piece, ...]:
    fraction = plan.table.clock.fraction
    placed: list[tuple[Part, int]] = []
    for arc in circuit:
        at = plan.table.starts[arc.tail]
        for part in arc.parts:
            placed.append((part, at))
            at += part.time
    kept = joined(part for part, _ in placed)
    words = _Words(plan)
    pieces = [
        Piece(
            what=part.what,
            words=words.phrase(part),
            time=fraction(part.time),
            begins=fraction(at),
            stations=words.stations(part),
            load=words.load(part),
            stage=words.stage(part) if part.what in ("minimum", "maximum") else None,
            step=None if part.what != "loaded" or part.move is None else part.move + 1,
        )
        for part, at in placed
        if part.time and any(part is other for other in kept)
    ]
    return tuple(from_longest_dwell(pieces))


class _Words:
    """Says what the parts of an arc are about, from the steps of a plan."""

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._steps = plan.table.steps
        self._several = len(set(plan.loads)) > 1

    def stations(self, part: Part) -> tuple[str, ...]:
        """Where it happens: one station, or from where to where; nothing where it has no place."""
        if part.move is None:
            return ()
        step = self._steps[part.move]
        if part.what == "loaded":
            return step.source, step.target
        if part.what in ("empty", "return"):
            return (step.target, *(() if part.to is None else (self._steps[part.to].source,)))
        return (part.label,) if part.what in ("occupation", "rest") else (step.target,)

    def load(self, part: Part) -> int | None:
        """The load it is about."""
        if part.move is None or part.what not in ("loaded", "minimum", "maximum"):
            return None
        return self._plan.loads[part.move]

    def stage(self, part: Part) -> str:
        """The stage that a move ends in, with its station where that differs."""
        assert part.move is not None
        leg, station = self._plan.legs[part.move], self._steps[part.move].target
        if leg is None or leg.reaches is None:
            return station
        label = self._plan.table.routes.label(leg.recipe, leg.reaches, station)
        return station if label == station else f"{label} ({station})"

    def phrase(self, part: Part) -> str:
        """What a part of the length of an arc is, in words, without its time."""
        load = self.load(part)
        whose = f" load {load}" if load is not None and self._several else ""
        if part.what == "loaded":
            source, target = self.stations(part)
            hoist = self._steps[part.move or 0].hoist
            return f"lift and carry{whose} from {source} to {target} (hoist {hoist})"
        if part.what == "empty":
            ends = self.stations(part)
            return f"hoist {part.label}" if part.label else f"hoist empty from {' to '.join(ends)}"
        if part.what == "distance":
            return f"hoist {part.label}, to keep the clearance"
        if part.what in ("minimum", "maximum"):
            return f"{self.stage(part)} {part.what}" + (whose and f" ({whose.strip()})")
        if part.what == "rest":
            return f"{part.label} rest"
        if part.what == "occupation":
            return f"{part.label} minimum occupation"
        if part.what == "return":
            return f"carrier back from {self.stations(part)[0]}, minimum occupation included"
        return "minimum cycle time" if part.time > 0 else "maximum cycle time"
