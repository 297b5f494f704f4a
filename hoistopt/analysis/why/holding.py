"""What holds the cycle time of a schedule: its critical circuit, in the trade's words."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from ...base.errors import InputError
from ...checker import Replay, accepted
from ...graph.algorithms.critical import plainest_circuit
from ...graph.algorithms.cycle_ratio import least_cycle_of
from ...graph.arc import Arc, Part, height_of, joined
from ...graph.from_instance import instance_graph
from ...graph.pattern import Pattern, degree_of, pattern_of
from ...graph.retiming import schedule_of
from ...graph.wording import Words
from ...instance import Instance, build_instance
from ...problem import Problem
from ...schedule import Schedule
from ...solver.bounds import hoist_work_bound, return_bound, tank_turn_bound
from .held import Holding, Piece, from_longest_dwell
from .several import held_by_several


def what_holds(problem: Problem, schedule: Schedule, seen: Replay | None = None) -> Holding:
    """Find what holds the cycle time of a schedule where it is.

    The critical circuit of the event graph: starts of moves one after another, each
    bound to the one before by a time that cannot be shorter, back to the first one some
    cycles later. Its length over those cycles is the least cycle time of this order of
    moves. See :mod:`hoistopt.graph.algorithms.cycle_ratio` for the method and its source.
    Of several critical circuits the one of fewest constraints is told.

    Parameters
    ----------
    problem : Problem
        The line.
    schedule : Schedule
        One that breaks no rule, from the solver or read from a file.
    seen : Replay, optional
        A replay of the schedule on the line, if there is one already.

    Raises
    ------
    Refused
        When the schedule breaks a rule.
    InputError
        When its moves are no whole sets of loads.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> result = hoistopt.solve(problem)
    >>> held = hoistopt.what_holds(problem, result.schedule)
    >>> held.total / held.cycles == held.exact
    True
    """
    seen = accepted(problem, schedule, seen)
    if len(problem.hoists) > 1:
        return held_by_several(problem, schedule, seen)
    instance = build_instance(problem, degree_of(problem, schedule))
    pattern = pattern_of(problem, instance, schedule, seen)
    graph = instance_graph(instance, pattern)
    least = least_cycle_of(graph)
    if least.exact is None or least.cycle is None or least.starts is None:
        raise InputError(
            "a schedule that fits the grid of planned times",
            way_out='Give the problem a finer "tick".',
        )
    own = schedule.time(schedule.cycle)
    if own != instance_time(instance, least.cycle):
        schedule = schedule_of(instance, pattern, least.starts, least.cycle)
        pattern = pattern_of(problem, instance, schedule)
        seen = accepted(problem, schedule, made_here=True)
    circuit, alone = plainest_circuit(graph, least.exact, least.circuit)
    pieces = _pieces(problem, instance, pattern, schedule, circuit)
    cycles = max(1, height_of(circuit))
    total = sum((piece.time for piece in pieces), Fraction(0))
    return Holding(
        cycle_time=own,
        least=instance_time(instance, least.cycle),
        exact=total / cycles,
        pieces=pieces,
        total=total,
        cycles=cycles,
        alone=alone,
        hoist_floor=instance_time(instance, hoist_work_bound(instance)),
        turn_floor=instance_time(instance, tank_turn_bound(instance)),
        return_floor=instance_time(instance, return_bound(instance)),
        spare_tanks=_spare_tanks(instance, circuit),
        schedule=schedule,
        replay=seen,
        unit=problem.unit,
    )


def _spare_tanks(instance: Instance, circuit: Sequence[Arc]) -> tuple[str, ...]:
    met = {part.stay for arc in circuit for part in arc.parts if part.what == "minimum"}
    found = []
    for stay in instance.stays:
        alike = [other for other in instance.stays if set(other.places) & set(stay.places)]
        if stay.index in met and len(alike) < len(stay.places):
            found.append(stay.label)
    return tuple(dict.fromkeys(found))


def instance_time(instance: Instance, ticks: int | Fraction) -> Fraction:
    """Ticks of an instance in the problem's unit, exactly."""
    return Fraction(ticks) / instance.ticks_per_unit


def _pieces(
    problem: Problem,
    instance: Instance,
    pattern: Pattern,
    schedule: Schedule,
    circuit: Sequence[Arc],
) -> tuple[Piece, ...]:
    words = Words(problem, instance, pattern)
    scale = instance.ticks_per_unit / schedule.ticks_per_unit
    placed: list[tuple[Part, Fraction]] = []
    for arc in circuit:
        at = schedule.steps[pattern.steps[arc.tail]].start * scale
        for part in arc.parts:
            placed.append((part, at))
            at += part.time
    kept = joined(part for part, _ in placed)
    placed = [(part, at) for part, at in placed if any(part is other for other in kept)]
    pieces = [
        Piece(
            what=part.what,
            words=words.phrase(part),
            time=instance_time(instance, part.time),
            begins=instance_time(instance, at),
            stations=words.stations(part),
            load=words.load(part),
            stage=words.stage(part),
            step=None
            if part.move is None or part.what != "loaded"
            else pattern.steps[part.move] + 1,
        )
        for part, at in placed
        if part.time
    ]
    return tuple(from_longest_dwell(pieces))
