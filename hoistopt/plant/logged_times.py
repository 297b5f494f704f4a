"""Times of the hoist as a log shows them: whole moves, and bounds of empty travel."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ..base.errors import InputError
from ..base.text import counted, listed
from ..problem import Problem
from .drips import drips
from .events import EventLog
from .moves import LoggedMoves, logged_moves
from .readings import Group, Readings, Timed

if TYPE_CHECKING:
    import polars as pl

_SHOWN = 6


def logged_times(log: EventLog, problem: Problem, hoist: int = 0) -> Readings:
    """What a log tells of the hoist's times.

    A loaded move is from the lift to the lowering, less the drip of the recipe; moves that
    drip differently by recipe, or that no recipe has, are left out and told. From a lowering
    to the next lift there is empty travel and a wait.

    Parameters
    ----------
    log : EventLog
    problem : Problem
    hoist : int
        Which of its hoists, from 0.

    Raises
    ------
    InputError
        When the log shows no whole move of it, or does not tell which hoist made which.
    """
    moves = _of_hoist(logged_moves(log, problem), problem, hoist)
    if not len(moves.frame):
        raise InputError(
            "at least one lift with the lowering after it",
            way_out="Check what the mapping calls lift and lower.",
        )
    micro = 1e6 * float(problem.seconds_per_unit)
    files = tuple(moves.frame.get_column("file").cast(str).unique(maintain_order=True))
    groups, notes = _loaded(moves, problem, micro, files)
    return Readings(
        problem,
        "log",
        files,
        tuple(groups),
        tuple(_bounds(moves, micro, files)),
        _step(log) / micro,
        (*notes, *_alone(moves)),
        hoist,
    )


def _of_hoist(moves: LoggedMoves, problem: Problem, hoist: int) -> LoggedMoves:
    """The moves of one hoist."""
    import polars as pl

    if len(problem.hoists) == 1:
        return moves
    names = moves.frame.get_column("hoist").cast(pl.String)
    if names.null_count():
        raise InputError(
            "a log that names the hoist of every move, as the line has several",
            way_out="Say which column it is: --column hoist=NAME.",
        )
    return replace(moves, frame=moves.frame.filter(names == str(problem.hoists[hoist].name)))


def _loaded(
    moves: LoggedMoves, problem: Problem, micro: float, files: tuple[str, ...]
) -> tuple[list[Group], list[str]]:
    known = drips(problem)
    groups, several, foreign = [], [], 0
    for (source, target), part in _by_pair(moves.frame, "source", "target"):
        dripping = known.get((source, target))
        if dripping is None:
            foreign += len(part)
            continue
        if len(dripping) > 1:
            several.append(f"{source} to {target}")
            continue
        (drip,) = dripping
        times = (part.get_column("end") - part.get_column("start")).to_numpy() / micro
        groups.append(_group(Timed("move", source, target), times - float(drip), part, files))
    notes = []
    if several:
        shown = listed([*several[:_SHOWN], *(["others"] if len(several) > _SHOWN else [])])
        notes.append(
            "Left out, as recipes drip differently on them and the log does not tell which: "
            f"{shown}."
        )
    if foreign:
        notes.append(f"Left out: {counted(foreign, 'move')} between stations that no recipe joins.")
    return groups, notes


def _bounds(moves: LoggedMoves, micro: float, files: tuple[str, ...]) -> list[Group]:
    import polars as pl

    waits = moves.frame.filter(
        pl.col("since").is_not_null()
        & (pl.col("before") != pl.col("source"))
        & (pl.col("start") >= pl.col("since"))
    )
    return [
        _group(
            Timed("empty", before, source),
            (part.get_column("start") - part.get_column("since")).to_numpy() / micro,
            part,
            files,
        )
        for (before, source), part in _by_pair(waits, "before", "source")
    ]


def _by_pair(
    frame: pl.DataFrame, first: str, second: str
) -> list[tuple[tuple[str, str], pl.DataFrame]]:
    parts = frame.partition_by(first, second, as_dict=True, maintain_order=True)
    return [((str(a), str(b)), part) for (a, b), part in parts.items()]


def _group(timed: Timed, times: object, part: pl.DataFrame, files: tuple[str, ...]) -> Group:
    import numpy as np

    order = {name: number for number, name in enumerate(files)}
    names = part.get_column("file").cast(str).to_list() if len(files) > 1 else []
    return Group(
        timed,
        np.asarray(times, dtype=float),
        part.get_column("line").to_numpy().astype(np.int64),
        np.array([order[name] for name in names], dtype=np.int64)
        if names
        else np.zeros(len(part), dtype=np.int64),
    )


def _step(log: EventLog) -> int:
    """To how many microseconds the clock was read; 0 where too few events tell."""
    import numpy as np

    times = log.frame.get_column("time").to_numpy()
    return int(np.gcd.reduce(times - times[0])) if len(times) >= 10 else 0


def _alone(moves: LoggedMoves) -> list[str]:
    alone = moves.alone
    if not len(alone):
        return []
    shown = [
        f"{event} at {station}, row {line}"
        for event, station, line in alone.select("event", "station", "line").head(_SHOWN).rows()
    ]
    more = f" and {len(alone) - _SHOWN} more" if len(alone) > _SHOWN else ""
    return [f"Lifts and lowerings without each other, left out: {'; '.join(shown)}{more}."]
