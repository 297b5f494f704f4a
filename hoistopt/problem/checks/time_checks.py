"""Rules on times: every move and every empty travel must have one.

Each check takes the problem and raises one InputError, or returns quietly.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise, product

from ...base.errors import InputError
from ...base.numbers.exact import MOST_DECIMALS
from ..statement import Statement

MOST_SHOWN = 40
"""Missing times that one error lists."""


def _crossings_placed(problem: Statement) -> None:
    if not problem.crossings:
        return
    for number, station in enumerate(problem.stations, start=1):
        if station.position is None and station.kind != "park":
            raise InputError(
                "a position, as crossings depend on what lies between",
                field=f'station {number} ("{station.name}"), position',
                way_out="Give every station its position along the track.",
            )


def _tables_once(problem: Statement) -> None:
    for key in ("loaded", "empty"):
        seen: set[tuple[str, str]] = set()
        for number, entry in enumerate(getattr(problem.times, key), start=1):
            pair = (entry.from_, entry.to)
            if pair in seen:
                raise InputError(
                    "each pair of stations once",
                    field=f"times, {key} {number}",
                    value=f"{entry.from_} to {entry.to}",
                    way_out="Remove one of the entries.",
                )
            seen.add(pair)


def _times_known(problem: Statement) -> None:
    """Every move of a recipe and every empty travel has a time, by table or physics."""
    missing = [
        found
        for key, source, target in _needed(problem)
        if (found := _physics_missing(problem, key, source, target)) is not None
    ]
    if not missing:
        return
    key, source, target, error = missing[0]
    pairs = [" ".join((kind, start, "to", end)) for kind, start, end, _ in missing]
    if len(pairs) == 1:
        error.way_out = f"Or give times, {key}, an entry from {source} to {target}."
        raise error
    shown = "; ".join(pairs[:MOST_SHOWN])
    more = len(pairs) - MOST_SHOWN
    error.way_out = f"Or give entries in the tables of times; {len(pairs)} are missing: {shown}" + (
        f"; and {more} more." if more > 0 else "."
    )
    raise error


Missing = tuple[str, str, str, InputError]


def _needed(problem: Statement) -> Iterator[tuple[str, str, str]]:
    """Loaded moves and empty travels that no table has, each once: loaded or empty, from, to."""
    for source, target in _loaded_moves(problem):
        if source != target and (source, target) not in problem.loaded_times:
            yield "loaded", source, target
    used = dict.fromkeys(name for ways in _ways(problem) for names in ways for name in names)
    for source, target in product(used, used):
        if source != target and (source, target) not in problem.empty_times:
            yield "empty", source, target


def _ways(problem: Statement) -> Iterator[list[tuple[str, ...]]]:
    """For each recipe the stations a load may be in, stage after stage, its ends included."""
    for recipe in problem.recipes:
        ways: list[tuple[str, ...]] = [(problem.load_station(recipe).name,)]
        ways += [stage.station for stage in recipe.stages]
        ways.append((problem.unload_station(recipe).name,))
        if problem.carriers.return_ == "hoist":
            ways.append(ways[0])
        yield ways


def _loaded_moves(problem: Statement) -> list[tuple[str, str]]:
    """Every loaded move that a load may make, from and to, each once."""
    found: dict[tuple[str, str], None] = {}
    for ways in _ways(problem):
        for sources, targets in pairwise(ways):
            found |= dict.fromkeys(product(sources, targets))
    return list(found)


def _physics_missing(problem: Statement, key: str, source: str, target: str) -> Missing | None:
    """What is missing to work a time out, if anything is."""

    def lacking(expected: str, field: str) -> Missing:
        return key, source, target, InputError(expected, field=field)

    if any(getattr(hoist, key) is None for hoist in problem.hoists):
        return lacking(
            f"speeds for the {key} hoist, needed from {source} to {target}", f"hoist, {key}"
        )
    for name in (source, target):
        if problem.station_by_name[name].position is None:
            return lacking(
                "a position, needed to work out travel times", f'station "{name}", position'
            )
    if key == "loaded":
        for field, name in (("lift", source), ("lower", target)):
            if getattr(problem.station_by_name[name], field) is None and any(
                getattr(hoist, field) is None for hoist in problem.hoists
            ):
                return lacking(f"a {field} time, needed at {name}", f"hoist, {field}")
    return None


def _tick_sensible(problem: Statement) -> None:
    if problem.tick is not None and problem.tick > 3600:
        raise InputError(
            "a tick of at most 3600",
            field="tick",
            value=problem.tick,
            way_out=f"Leave it out, or give up to {MOST_DECIMALS} decimals, such as 0.1.",
        )


def _scatter_known(problem: Statement) -> None:
    """A scatter of a part of a move needs moves whose parts are known, and times to take from.

    What a longer travel leaves of a shortening shows with the schedule only.
    """
    if problem.scatter is None:
        return
    for scatter in problem.scatter.scatters:
        if scatter.what not in ("lift", "travel", "lower"):
            continue
        for source, target in _loaded_moves(problem):
            if (source, target) in problem.loaded_times:
                raise InputError(
                    "moves whose parts are known",
                    field="scatter, times",
                    value=scatter,
                    way_out=f"The time from {source} to {target} comes from a table, as a whole; "
                    "let the whole move scatter instead.",
                )
            if scatter.how == "times" or scatter.what == "travel":
                continue
            at = problem.station_by_name[source if scatter.what == "lift" else target]
            own = getattr(at, scatter.what)
            times = [
                getattr(hoist, scatter.what) if own is None else own for hoist in problem.hoists
            ]
            time = min((time for time in times if time is not None), default=None)
            if time is not None and float(time) + scatter.lowest < 0:
                raise InputError(
                    "no time below 0",
                    field="scatter, times",
                    value=scatter,
                    way_out=f"At {at.name} to {scatter.what} takes {time:f} {problem.unit}.",
                )


ALL = (
    _crossings_placed,
    _tables_once,
    _times_known,
    _tick_sensible,
    _scatter_known,
)
