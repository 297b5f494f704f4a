"""The planned move that each logged one is, hoist by hoist, and all differences of the orders."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from ...base.errors import InputError
from ...problem import Problem
from .align import Order, align
from .deviations import Deviation, Why, deviations
from .occupancy import Occupancy
from .planned import Planned

if TYPE_CHECKING:
    import polars as pl


@dataclass(frozen=True)
class Matched:
    """Which planned move each logged one is.

    Attributes
    ----------
    positions : numpy.ndarray
        Place of each in the planned order of all hoists, -1 where it is not in its turn.
    hoist : numpy.ndarray
        Which hoist made it, from 0.
    deviations : list of Deviation
        In the order of the log.
    """

    positions: np.ndarray
    hoist: np.ndarray
    deviations: list[Deviation]


def match(frame: pl.DataFrame, problem: Problem, planned: Planned, micro: float) -> Matched:
    """Match each hoist's moves with those planned for it; each has an order of its own.

    Parameters
    ----------
    frame : polars.DataFrame
        Of :class:`hoistopt.plant.moves.LoggedMoves`.
    problem : Problem
    planned : Planned
    micro : float
        Microseconds in the problem's unit.

    Raises
    ------
    InputError
        When there are several hoists and the log does not tell which made a move.
    """
    ends = list(zip(frame.get_column("source"), frame.get_column("target"), strict=True))
    begins = frame.get_column("start").to_numpy()
    since = (begins - begins[:1]) / micro
    hoist = _hoists(frame, planned)
    orders = [
        Order(
            [(planned.moves[n].source, planned.moves[n].target) for n in numbers],
            [planned.moves[n].start for n in numbers],
            planned.cycle,
        )
        for _, numbers in planned.by_hoist
    ]
    local = np.array(
        align(ends, since.tolist(), orders, hoist.tolist(), Occupancy(problem)), dtype=np.int64
    )
    positions = _together(local, since, hoist, planned)
    found: list[Deviation] = []
    for lane, (_, numbers) in enumerate(planned.by_hoist):
        of = np.flatnonzero(hoist == lane)
        here = local[of]
        if not (here >= 0).any():
            found += [Deviation("added", int(number), None) for number in of]
            continue
        first = int(np.argmax(here >= 0))
        ahead = int(positions[of[first]]) // len(planned.moves) - int(here[first]) // len(numbers)
        differ = deviations(
            [ends[n] for n in of], here.tolist(), [planned.moves[n] for n in numbers]
        )
        for each in differ:
            position = each.position
            if position is not None:
                round_, place = divmod(position, len(numbers))
                position = (round_ + ahead) * len(planned.moves) + numbers[place]
            made = None if each.made is None else int(of[each.made])
            after = None if each.after is None else int(of[each.after])
            found.append(replace(each, made=made, position=position, after=after))
    found = _explained(found, positions, hoist, planned)
    found.sort(key=_when)
    return Matched(positions, hoist, found)


def _when(each: Deviation) -> tuple[float, int]:
    at = (each.after or 0) + 0.5 if each.made is None else float(each.made)
    return at, each.position or 0


def _hoists(frame: pl.DataFrame, planned: Planned) -> np.ndarray:
    names = [name for name, _ in planned.by_hoist]
    if len(names) == 1:
        return np.zeros(len(frame), dtype=np.int64)
    told = frame.get_column("hoist").cast(str).to_list()
    known = {name: number for number, name in enumerate(names)}
    for row, name in zip(frame.get_column("line"), told, strict=True):
        if name not in known:
            raise InputError(
                f"the hoist of every move, one of {', '.join(map(str, names))}",
                field=f"row {row}, hoist",
                value=name or "nothing",
                way_out="Say which column has it: --column hoist=NAME.",
            )
    return np.array([known[name] for name in told], dtype=np.int64)


def _together(
    local: np.ndarray, since: np.ndarray, hoist: np.ndarray, planned: Planned
) -> np.ndarray:
    """Positions in the order of all hoists: whose cycles begin nearest to the planned times."""
    positions = np.full(len(local), -1, dtype=np.int64)
    around = len(planned.moves)
    zero: float | None = None
    for lane, (_, numbers) in enumerate(planned.by_hoist):
        of = np.flatnonzero((hoist == lane) & (local >= 0))
        if not len(of):
            continue
        round_, place = np.divmod(local[of], len(numbers))
        positions[of] = round_ * around + np.array(numbers)[place]
        begun = float(since[of[0]] - planned.starts(positions[of[:1]])[0])
        zero = begun if zero is None else zero
        if planned.cycle is not None:
            positions[of] += round((begun - zero) / planned.cycle) * around
    seen = positions[positions != -1]
    # Before the first cycle of one hoist another may have begun.
    if len(seen) and seen.min() < 0:
        more = -(int(seen.min()) // around) * around
        positions = np.where(positions == -1, -1, positions + more)
    return positions


def _explained(
    found: list[Deviation], positions: np.ndarray, hoist: np.ndarray, planned: Planned
) -> list[Deviation]:
    """Say of each missing move whether there was a load to lift."""
    made = set(positions[positions >= 0].tolist())
    made |= {each.position for each in found if each.made is not None and each.position is not None}
    begins = {
        lane: int(positions[(hoist == lane) & (positions >= 0)].min(initial=np.iinfo(int).max))
        for lane in range(len(planned.by_hoist))
    }
    of = {n: lane for lane, (_, numbers) in enumerate(planned.by_hoist) for n in numbers}

    def why(position: int) -> Why:
        round_, number = divmod(position, len(planned.moves))
        move = planned.moves[number]
        if move.enters:
            return "no new load"
        if move.brought_by is None:
            return ""
        before, cycles = move.brought_by
        brought = (round_ - cycles) * len(planned.moves) + before
        if brought < begins[of[before]]:
            return ""  # it was before the log begins
        return "a load stood there" if brought in made else "nothing had been brought"

    return [
        replace(each, why=why(each.position))
        if each.kind == "missing" and each.position is not None
        else each
        for each in found
    ]
