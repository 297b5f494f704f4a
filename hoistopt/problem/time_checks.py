"""Rules on times: every move and every empty travel must have one.

Each check takes the problem and raises one InputError, or returns quietly.
"""

from __future__ import annotations

from itertools import pairwise

from ..base.errors import InputError
from ..base.exact import MOST_DECIMALS
from .statement import Statement


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
    used: dict[str, None] = {}
    for recipe in problem.recipes:
        ways: list[tuple[str, ...]] = [(problem.load_station(recipe).name,)]
        ways += [stage.station for stage in recipe.stages]
        ways.append((problem.unload_station(recipe).name,))
        if problem.carriers.return_ == "hoist":
            ways.append(ways[0])
        for sources, targets in pairwise(ways):
            for source in sources:
                for target in targets:
                    if source != target and (source, target) not in problem.loaded_times:
                        _physics_given(problem, "loaded", source, target)
        for names in ways:
            used |= dict.fromkeys(names)
    for source in used:
        for target in used:
            if source != target and (source, target) not in problem.empty_times:
                _physics_given(problem, "empty", source, target)


def _physics_given(problem: Statement, key: str, source: str, target: str) -> None:
    way_out = f"Or give times, {key}, an entry from {source} to {target}."
    if getattr(problem.hoist, key) is None:
        raise InputError(
            f"speeds for the {key} hoist, needed from {source} to {target}",
            field=f"hoist, {key}",
            way_out=way_out,
        )
    for name in (source, target):
        if problem.station_by_name[name].position is None:
            raise InputError(
                "a position, needed to work out travel times",
                field=f'station "{name}", position',
                way_out=way_out,
            )
    if key == "loaded":
        for field, name in (("lift", source), ("lower", target)):
            if getattr(problem.hoist, field) is None and (
                getattr(problem.station_by_name[name], field) is None
            ):
                raise InputError(
                    f"a {field} time, needed at {name}", field=f"hoist, {field}", way_out=way_out
                )


def _tick_sensible(problem: Statement) -> None:
    if problem.tick is not None and problem.tick > 3600:
        raise InputError(
            "a tick of at most 3600",
            field="tick",
            value=problem.tick,
            way_out=f"Leave it out, or give up to {MOST_DECIMALS} decimals, such as 0.1.",
        )


ALL = (
    _crossings_placed,
    _tables_once,
    _times_known,
    _tick_sensible,
)
