"""What holds the cycle time of a schedule: its critical circuit, in the trade's words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from ..checker import Replay, replay
from ..errors import HoistoptError, InputError
from ..instance import Instance, build_instance
from ..problem import Problem
from ..schedule import Schedule, readable
from ..solver.bounds import hoist_work_bound, return_bound, tank_turn_bound
from .circuits import joined
from .critical import plainest_circuit
from .graph import Arc, Part, constraint_graph, least_cycle_of
from .pattern import Pattern, pattern_of
from .retime import degree_of, schedule_of
from .wording import Words, told


@dataclass(frozen=True)
class Piece:
    """One piece of the circuit that holds a cycle time.

    Attributes
    ----------
    what : str
        "loaded", "empty", "minimum", "maximum", "occupation", "return", "limit" or
        "rounding".
    words : str
        What it is, for people.
    time : Fraction
        How long, in the problem's unit; below 0 where the circuit runs back in time,
        along a maximum.
    begins : Fraction
        When, counted from the start of the schedule's cycle; an earlier time than 0 or
        a later one than the cycle time belongs to the cycle before or after.
    stations : tuple of str
        Where: one station, or from where to where.
    load : int or None
        Number of the load within the cycle, where it is about one.
    step : int or None
        Number of the step of the schedule, from 1, where it is about one.
    """

    what: str
    words: str
    time: Fraction
    begins: Fraction
    stations: tuple[str, ...]
    load: int | None
    step: int | None


@dataclass(frozen=True)
class Holding:
    """What holds the cycle time of a schedule; times in the problem's unit.

    Attributes
    ----------
    cycle_time : Fraction
        Of the schedule asked about.
    least : Fraction
        The least cycle time for its order of moves, on the grid of planned times.
    exact : Fraction
        The same as though time were no grid: `total` over `cycles`.
    pieces : tuple of Piece
        The circuit, from piece to piece.
    total : Fraction
        Sum of the pieces' times.
    cycles : int
        How many cycles the circuit takes to come round.
    alone : bool
        Whether no other circuit holds the cycle time as well.
    hoist_floor, turn_floor, return_floor : Fraction
        What no order of moves can be below: the hoist's work, the turn of the busiest
        tank or group of tanks, the ends of the line.
    spare_tanks : tuple of str
        Stages in the circuit that have more tanks than loads in a cycle to use them.
    schedule : Schedule
        The schedule in which the circuit has no slack: the one asked about, or the same
        moves drawn together to `least`.
    replay : Replay
        What the checker saw of that schedule.
    unit : str
        Unit of the times.
    """

    cycle_time: Fraction
    least: Fraction
    exact: Fraction
    pieces: tuple[Piece, ...]
    total: Fraction
    cycles: int
    alone: bool
    hoist_floor: Fraction
    turn_floor: Fraction
    return_floor: Fraction
    spare_tanks: tuple[str, ...]
    schedule: Schedule
    replay: Replay
    unit: str

    def sentence(self) -> str:
        """The circuit in one sentence that adds up to the cycle time."""
        parts = [
            f"{'less ' if piece.time < 0 else ''}{piece.words} {told(abs(piece.time))} {self.unit}"
            for piece in self.pieces
        ]
        text = ", ".join(parts)
        text = f"{text[:1].upper()}{text[1:]} = {told(self.total)} {self.unit}"
        if self.cycles > 1:
            text += f" in {self.cycles} cycles, {told(self.exact)} {self.unit} each"
        return f"{text}."

    def remarks(self) -> list[str]:
        """What else there is to say about it, a sentence each."""
        unit, found = self.unit, []
        if self.exact != self.least:
            found.append(
                f"On the grid of planned times that makes a cycle of {told(self.least)} {unit}."
            )
        if self.cycle_time > self.least:
            found.append(
                f"The schedule takes {told(self.cycle_time)} {unit}, which nothing in the line "
                f"asks for: the same order of moves can run in {told(self.least)} {unit}."
            )
        if self.alone:
            found.append(
                "Nothing else holds the cycle so long: with any of these times shorter, or a "
                "maximum among them higher, the same order of moves could run quicker."
            )
        else:
            found.append(
                "Other chains of times are just as long: with only one of these times shorter, "
                "the same order of moves may not get quicker."
            )
        found += [
            f"{label} has more tanks than a cycle has loads for them; a higher degree can use them."
            for label in self.spare_tanks
        ]
        floors = {
            "the hoist's work": self.hoist_floor,
            "the turn of the busiest tank": self.turn_floor,
            "the ends of the line": self.return_floor,
        }
        name, floor = max(floors.items(), key=lambda item: item[1])
        found.append(f"No order of moves can be below {told(floor)} {unit}, because of {name}.")
        return found

    def text(self) -> str:
        """All of it as plain text."""
        head = f"What holds the cycle time at {told(self.least)} {self.unit}:"
        return "\n".join([head, self.sentence(), *self.remarks()])

    def to_data(self) -> dict[str, Any]:
        """All of it as plain data for JSON."""
        return {
            "cycle_time": readable(self.cycle_time),
            "least_of_this_order": readable(self.least),
            "exact": readable(self.exact),
            "total": readable(self.total),
            "cycles": self.cycles,
            "alone": self.alone,
            "pieces": [
                {
                    "what": piece.what,
                    "words": piece.words,
                    "time": readable(piece.time),
                    "begins": readable(piece.begins),
                    "stations": list(piece.stations),
                    "load": piece.load,
                    "step": piece.step,
                }
                for piece in self.pieces
            ],
            "floors": {
                "hoist": readable(self.hoist_floor),
                "tank_turn": readable(self.turn_floor),
                "ends": readable(self.return_floor),
            },
            "spare_tanks": list(self.spare_tanks),
            "sentence": self.sentence(),
            "remarks": self.remarks(),
            "unit": self.unit,
        }


def what_holds(problem: Problem, schedule: Schedule) -> Holding:
    """Find what holds the cycle time of a schedule where it is.

    The critical circuit of the constraint graph: starts of moves one after another, each
    bound to the one before by a time that cannot be shorter, back to the first one some
    cycles later. Its length over those cycles is the least cycle time of this order of
    moves. See :mod:`hoistopt.explain.ratio` for the method and its source. Of several
    critical circuits the one of fewest constraints is told.

    Parameters
    ----------
    problem : Problem
        The line.
    schedule : Schedule
        One that breaks no rule, from the solver or read from a file.

    Raises
    ------
    InputError
        When the schedule breaks a rule or its moves are no whole sets of loads.
    """
    seen = replay(problem, schedule)
    if not seen.clean:
        raise InputError(
            "a schedule that breaks no rule",
            value=str(seen.violations[0]),
            way_out="`hoistopt verify` lists what is wrong with it.",
        )
    instance = build_instance(problem, degree_of(problem, schedule))
    pattern = pattern_of(problem, instance, schedule)
    graph = constraint_graph(instance, pattern)
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
        seen = _accepted(problem, schedule)
    circuit, alone = plainest_circuit(graph, least.exact, least.circuit)
    pieces = _pieces(problem, instance, pattern, schedule, circuit)
    cycles = max(1, sum(arc.boundaries for arc in circuit))
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


def _accepted(problem: Problem, schedule: Schedule) -> Replay:
    seen = replay(problem, schedule)
    if not seen.clean:
        raise HoistoptError(f"the checker refused a schedule drawn together: {seen.violations[0]}")
    return seen


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
            at += part.ticks
    kept = joined(part for part, _ in placed)
    placed = [(part, at) for part, at in placed if any(part is other for other in kept)]
    pieces = [
        Piece(
            what=part.what,
            words=words.phrase(part),
            time=instance_time(instance, part.ticks),
            begins=instance_time(instance, at),
            stations=words.stations(part),
            load=words.load(part),
            step=None
            if part.move is None or part.what != "loaded"
            else pattern.steps[part.move] + 1,
        )
        for part, at in placed
        if part.ticks
    ]
    return tuple(_from_longest_dwell(pieces))


def _from_longest_dwell(pieces: list[Piece]) -> list[Piece]:
    """Turn the circuit so that it begins with its longest dwell."""
    dwell = ("minimum", "occupation", "return")
    first = max(
        range(len(pieces)),
        key=lambda i: (pieces[i].what in dwell, pieces[i].time, -i),
        default=0,
    )
    return pieces[first:] + pieces[:first]
