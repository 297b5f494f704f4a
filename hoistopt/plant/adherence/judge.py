"""A log against a plan: order, starts, what each step costs, and the drift of the cycles."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ...base.errors import InputError
from ...problem import Problem
from ..moves import LoggedMoves
from .answer import Adherence, Drift, StepCost
from .deviations import Deviation
from .match import Matched, match
from .planned import Planned

if TYPE_CHECKING:
    import polars as pl

LATE = 0.2
"""A start is late where it loses more than this part of the mean time from start to start."""
STOP = 5.0
"""A wait is a stop where it is longer than planned by so many mean times from start to start."""
_LEAST = 0.5
"""Share of the logged moves that must be some of the plan's."""


def adherence(
    moves: LoggedMoves,
    problem: Problem,
    planned: Planned,
    *,
    tolerance: float | None = None,
    notes: tuple[str, ...] = (),
) -> Adherence:
    """Hold the moves of a log against the planned ones.

    Parameters
    ----------
    moves : LoggedMoves
        A hoist for each that the plan has.
    problem : Problem
    planned : Planned
    tolerance : float, optional
        How much a start may lose, in the problem's unit; by default `LATE` has it.
    notes : tuple of str
        What was found out on the way.

    Raises
    ------
    InputError
        When fewer than half of the logged moves are some of the plan's, or the log does not
        tell which of several hoists made a move.
    """
    frame = moves.frame
    micro = 1e6 * float(problem.seconds_per_unit)
    begins = frame.get_column("start").to_numpy()
    found = match(frame, problem, planned, micro)
    positions, differ = found.positions, found.deviations
    if not len(positions) or (positions >= 0).mean() < _LEAST:
        raise InputError(
            "a log of this schedule or programme",
            value=f"{int((positions >= 0).sum())} of {len(positions)} moves are in its order",
            way_out="Check the names of stations, and that the moves are those the machine runs.",
        )
    usual = planned.usual
    allowed = LATE * usual if tolerance is None else tolerance
    late = _late(begins, positions, differ, planned, micro)
    lost, waited, moved = _lost(frame, found, late, planned, micro)
    stopped = np.nan_to_num(waited) > STOP * usual
    return Adherence(
        problem,
        planned,
        frame,
        positions,
        late,
        lost,
        waited,
        moved,
        stopped,
        allowed,
        tuple(differ),
        _steps(planned, positions, lost, waited, moved, stopped, differ, allowed),
        _cycles(planned, begins, positions, late, differ, stopped),
        notes,
    )


def _late(
    begins: np.ndarray,
    positions: np.ndarray,
    differ: list[Deviation],
    planned: Planned,
    micro: float,
) -> np.ndarray:
    """Start after the planned one, of moves out of turn too."""
    place = positions.copy()
    for each in differ:
        if each.made is not None and each.position is not None:
            place[each.made] = each.position
    first = int(np.argmax(positions >= 0))
    since = (begins - begins[first]) / micro
    wanted = planned.starts(place) - planned.starts(positions[first : first + 1])[0]
    return np.where(place == -1, np.nan, since - wanted)


def _lost(
    frame: pl.DataFrame,
    found: Matched,
    late: np.ndarray,
    planned: Planned,
    micro: float,
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """What each start lost against the hoist's one before, and its two parts."""
    positions = found.positions
    lost, waited, moved = (np.full(len(positions), np.nan) for _ in range(3))
    takes = (frame.get_column("end") - frame.get_column("start")).to_numpy() / micro
    usual = np.array([move.takes for move in planned.moves])
    over = takes - usual[positions % len(planned.moves)]
    after_ = _after(planned)
    for lane in range(len(planned.by_hoist)):
        of = np.flatnonzero(found.hoist == lane)
        turn = np.flatnonzero(positions[of] >= 0)
        before, after = of[turn[:-1]], of[turn[1:]]
        lost[after] = late[after] - late[before]
        round_, place = np.divmod(positions[before], len(planned.moves))
        due = (round_ + after_[place][:, 1]) * len(planned.moves) + after_[place][:, 0]
        next_ = (np.diff(turn) == 1) & (positions[after] == due)
        moved[after[next_]] = over[before[next_]]
        waited[after[next_]] = lost[after[next_]] - over[before[next_]]
        # Where a move is missing or added in between, all of it counts as waiting.
        waited[after[~next_]] = lost[after[~next_]]
    return lost, waited, moved


def _after(planned: Planned) -> np.ndarray:
    """Of each planned move the next one of its hoist, and whether that is in the next cycle."""
    found = np.zeros((len(planned.moves), 2), dtype=np.int64)
    for _, numbers in planned.by_hoist:
        for number, next_ in zip(numbers, [*numbers[1:], numbers[0]], strict=True):
            found[number] = next_, next_ <= number
    return found


def _steps(
    planned: Planned,
    positions: np.ndarray,
    lost: np.ndarray,
    waited: np.ndarray,
    moved: np.ndarray,
    stopped: np.ndarray,
    differ: list[Deviation],
    allowed: float,
) -> tuple[StepCost, ...]:
    around = len(planned.moves)
    turn = positions >= 0
    number = np.where(turn, positions % around, 0)
    running = turn & ~stopped

    def counted(of: np.ndarray) -> np.ndarray:
        return np.bincount(number[of], minlength=around)

    def summed(of: np.ndarray, what: np.ndarray) -> np.ndarray:
        return np.bincount(number[of], weights=np.nan_to_num(what[of]), minlength=around)

    late = counted(running & (np.nan_to_num(lost) > allowed))
    # What a move took longer is known at the start after it.
    waits, longer = summed(running, waited), summed(turn, moved)[_after(planned)[:, 0]]
    made = counted(turn)
    missing, turned = np.zeros(around, dtype=int), np.zeros(around, dtype=int)
    for each in differ:
        if each.position is not None:
            (missing if each.kind == "missing" else turned)[each.position % around] += 1
    return tuple(
        StepCost(
            n, int(made[n]), int(missing[n]), int(turned[n]), int(late[n]), float(waits[n]),
            float(longer[n]),
        )
        for n in range(around)
    )  # fmt: skip


def _cycles(
    planned: Planned,
    begins: np.ndarray,
    positions: np.ndarray,
    late: np.ndarray,
    differ: list[Deviation],
    stopped: np.ndarray,
) -> tuple[Drift, ...]:
    if planned.cycle is None:
        return ()
    around = len(planned.moves)
    turn = np.flatnonzero(positions >= 0)
    cycle = positions[turn] // around
    first = turn[np.unique(cycle, return_index=True)[1]]
    numbers = positions[first] // around
    seen: dict[int, int] = {}
    reached = int(numbers[0])
    for each in differ:
        if each.position is not None:
            reached = each.position // around
        seen[reached] = seen.get(reached, 0) + 1
    stops = np.bincount(cycle[stopped[turn]], minlength=int(cycle.max()) + 1)
    found = []
    for place, (number, move) in enumerate(zip(numbers, first, strict=True)):
        after = first[place + 1] if place + 1 < len(first) else None
        found.append(
            Drift(
                int(number) + 1,
                int(begins[move]),
                float(late[move]),
                None if after is None else float(late[after] - late[move]),
                seen.get(int(number), 0),
                int(stops[number]),
            )
        )
    return tuple(found)
