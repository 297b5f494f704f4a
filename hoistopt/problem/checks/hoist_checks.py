"""Rules on several hoists: their names, their order along the track, room for all of them.

Each check takes the problem and raises one InputError, or returns quietly.
"""

from __future__ import annotations

from itertools import pairwise

from ...base.errors import InputError
from ...base.text import nearest_or_known
from ..hoists import brings, brings_some, own_range, reach, serves, track_ends
from ..statement import Statement


def _hoists_named(problem: Statement) -> None:
    if len(problem.hoists) == 1:
        return
    seen: dict[str, int] = {}
    for number, hoist in enumerate(problem.hoists, start=1):
        if hoist.name is None:
            raise InputError(
                "a name, as there are several hoists",
                field=f"hoist {number}, name",
                way_out='Write for example name = "A".',
            )
        if hoist.name in seen:
            raise InputError(
                "every hoist to have a name of its own",
                field=f"hoist {number}, name",
                value=hoist.name,
                way_out=f"Hoist {seen[hoist.name]} has it already; rename one.",
            )
        seen[hoist.name] = number


def _ranges_known(problem: Statement) -> None:
    for number, hoist in enumerate(problem.hoists, start=1):
        field = _field(problem, number)
        for key, end in (("from", hoist.from_), ("to", hoist.to)):
            if end is None:
                continue
            if isinstance(end, str) and end not in problem.station_by_name:
                raise InputError(
                    "a position, or the name of a station of this line",
                    field=f"{field}, {key}",
                    value=end,
                    way_out=nearest_or_known(end, list(problem.station_by_name), "stations"),
                )
        low, high = own_range(problem, hoist)
        if low is not None and high is not None and low > high:
            raise InputError(
                f"a position below the other end of its range, which is {high:f}",
                field=f"{field}, from",
                value=low,
            )
        for name in hoist.unreachable:
            if name not in problem.station_by_name:
                raise InputError(
                    "the name of a station of this line",
                    field=f"{field}, unreachable",
                    value=name,
                    way_out=nearest_or_known(name, list(problem.station_by_name), "stations"),
                )


def _times_from_speeds(problem: Statement) -> None:
    """Where hoists can meet, it must be known where each of them is at any time."""
    one = problem.hoists[0] if len(problem.hoists) == 1 else None
    if one is not None and problem.track is None and one.from_ is None and one.to is None:
        return
    for number, station in enumerate(problem.stations, start=1):
        if station.position is None:
            raise InputError(
                "a position, as hoists may be in a part of the track only",
                field=f'station {number} ("{station.name}"), position',
            )
    if len(problem.hoists) == 1:
        return
    for number, hoist in enumerate(problem.hoists, start=1):
        for key in ("loaded", "empty"):
            if getattr(hoist, key) is None:
                raise InputError(
                    "its speed, as it must be known where each of several hoists is",
                    field=f"{_field(problem, number)}, {key}",
                )
    if problem.times.empty:
        raise InputError(
            "no table of empty travel, as several hoists give way to one another by travels to "
            "places that no table has",
            field="times, empty",
            way_out="Leave it out: empty travel is worked out from the speeds of each hoist. A "
            "table of loaded moves can stay.",
        )


def _in_track_order(problem: Statement) -> None:
    """No hoist begins and ends its range beyond one that is listed after it."""
    ranges = [own_range(problem, hoist) for hoist in problem.hoists]
    for second, (begins, ends) in enumerate(ranges):
        for first, (low, high) in enumerate(ranges[:second]):
            if None in (begins, ends, low, high):
                continue
            assert begins is not None and ends is not None
            assert low is not None and high is not None
            if low > begins and high > ends:
                names = [hoist.name for hoist in problem.hoists]
                raise InputError(
                    "hoists listed in track order, the one at the least positions first",
                    field=_field(problem, second + 1),
                    value=f"from {begins:f} to {ends:f}, listed after {names[first]}, from "
                    f"{low:f} to {high:f}",
                    way_out=f"Put {names[second]} before {names[first]} in the file.",
                )


def _measured_moves_possible(problem: Statement) -> None:
    """No measured move takes less than its way at top speed, by which it is told where a hoist
    may be meanwhile."""
    if len(problem.hoists) == 1:
        return
    for number, entry in enumerate(problem.times.loaded, start=1):
        ends = [problem.station_by_name[name] for name in (entry.from_, entry.to)]
        for hoist, stated in enumerate(problem.hoists):
            if not all(serves(problem, hoist, end) for end in ends) or stated.loaded is None:
                continue
            here, there = (end.position for end in ends)
            assert here is not None and there is not None
            if abs(there - here) > entry.time * stated.loaded.speed:
                raise InputError(
                    f"at least the time that the way from {entry.from_} to {entry.to} takes at "
                    f"the top speed of hoist {stated.name}",
                    field=f"times, loaded, entry {number}, time",
                    value=entry.time,
                    way_out="Correct the time, or give the hoist a higher loaded speed: with "
                    "several hoists it bounds where each is while a measured move is under way.",
                )


def _room_for_all(problem: Statement) -> None:
    count = len(problem.hoists)
    if count == 1:
        return
    if problem.track is None:
        raise InputError(
            "the least distance of two hoists",
            field="track, clearance",
            way_out="Write [track] and below it clearance = the least distance of their middles.",
        )
    begins, ends = track_ends(problem)
    if begins > ends:
        raise InputError(
            f"a position below the other end of the track, which is {ends:f}",
            field="track, from",
            value=begins,
        )
    if (count - 1) * problem.track.clearance > ends - begins:
        raise InputError(
            f"room for {count} hoists on a track of {ends - begins:f} {problem.length_unit}",
            field="track, clearance",
            value=problem.track.clearance,
            way_out="Correct it, or let the track reach further than its outermost stations.",
        )
    for number in range(count):
        low, high = reach(problem, number)
        if low > high:
            raise InputError(
                "a range that its neighbours leave room for, hoists being listed in track order",
                field=_field(problem, number + 1),
                value=f"from {low:f} on, and at most {high:f}",
                way_out="List the hoists from the least position on, and correct their ranges.",
            )


def _every_station_served(problem: Statement) -> None:
    if len(problem.hoists) == 1 and problem.track is None:
        return
    used = {name for recipe in problem.recipes for stage in recipe.stages for name in stage.station}
    for recipe in problem.recipes:
        used |= {problem.load_station(recipe).name, problem.unload_station(recipe).name}
    numbers = range(len(problem.hoists))
    for station in problem.stations:
        if station.name in used and not any(serves(problem, n, station) for n in numbers):
            reaches = "; ".join(
                f"{problem.hoists[n].name or 'the hoist'} {low:f} to {high:f}"
                for n, (low, high) in ((n, reach(problem, n)) for n in numbers)
            )
            raise InputError(
                "a station that some hoist reaches",
                field=f'station "{station.name}", position',
                value=station.position,
                way_out=f"As the hoists leave one another room they reach: {reaches}. Let the "
                "track reach further, if it does, by its from and to.",
            )


def _hoists_of_stages(problem: Statement) -> None:
    """Every hoist that a stage names is one of the line, and can bring loads there."""
    numbers = {hoist.name: number for number, hoist in enumerate(problem.hoists)}
    for recipe in problem.recipes:
        before: tuple[str, ...] = (problem.load_station(recipe).name,)
        for place, stage in enumerate(recipe.stages, start=1):
            field = f'recipe "{recipe.name}", stage {place} ("{stage.label}"), hoist'
            for name in stage.hoist or ():
                if name not in numbers:
                    known = [hoist.name for hoist in problem.hoists if hoist.name is not None]
                    raise InputError(
                        "the name of a hoist of this line",
                        field=field,
                        value=name,
                        way_out=f"The line has: {', '.join(known)}."
                        if known
                        else "Its hoist has no name; leave this out.",
                    )
                if not brings(problem, numbers[name], before, stage.station):
                    raise InputError(
                        "a hoist that reaches both ends of the move into this stage, "
                        f"{' or '.join(before)} to {' or '.join(stage.station)}",
                        field=field,
                        value=name,
                        way_out="Name another, or correct the ranges of the hoists.",
                    )
            before = stage.station


def _hand_over(problem: Statement) -> None:
    """Each move of a load, or of an empty carrier back, has a hoist that reaches both ends."""
    if len(problem.hoists) == 1:
        return
    for recipe in problem.recipes:
        ways = [
            (problem.load_station(recipe).name,),
            *(stage.station for stage in recipe.stages),
            (problem.unload_station(recipe).name,),
        ]
        if problem.carriers.return_ == "hoist":
            ways.append(ways[0])
        for stage, (sources, targets) in enumerate(pairwise(ways)):
            if brings_some(problem, sources, targets):
                continue
            raise InputError(
                "one hoist that reaches both ends of every move",
                field=f'recipe "{recipe.name}", move out of stage {stage}',
                value=f"{' or '.join(sources)} to {' or '.join(targets)}",
                way_out="Let two ranges overlap by a station at which loads are handed over.",
            )


def _field(problem: Statement, number: int) -> str:
    name = problem.hoists[number - 1].name
    if len(problem.hoists) == 1:
        return "hoist"
    return f"hoist {number}" + (f' ("{name}")' if name else "")


ALL = (
    _hoists_named,
    _ranges_known,
    _times_from_speeds,
    _in_track_order,
    _room_for_all,
    _every_station_served,
    _hand_over,
    _hoists_of_stages,
    _measured_moves_possible,
)
