"""Several hoists on one track: which part of it each may be in, and what it serves."""

from __future__ import annotations

from decimal import Decimal

from .line import Hoist, Station
from .statement import Statement


def track_ends(problem: Statement) -> tuple[Decimal, Decimal]:
    """Least and greatest position that the middle of any hoist may have.

    As the track states them, or else the outermost stations, parks included. All stations of
    a line with several hoists have positions.
    """
    positions = [station.position for station in problem.stations if station.position is not None]
    track = problem.track
    begins = min(positions) if track is None or track.from_ is None else track.from_
    ends = max(positions) if track is None or track.to is None else track.to
    return begins, ends


def reach(problem: Statement, number: int) -> tuple[Decimal, Decimal]:
    """Least and greatest position that one hoist may have, by its number in track order.

    Its own range, and what the hoists on either side leave of the track when they are as far
    out as they can be. The first may lie above the second: then it can be nowhere.
    """
    begins, ends = track_ends(problem)
    clearance = Decimal(0) if problem.track is None else problem.track.clearance
    low, high = begins, ends
    for place, hoist in enumerate(problem.hoists):
        least, most = own_range(problem, hoist)
        apart = abs(place - number) * clearance
        if place <= number:
            low = max(low, begins + apart, begins if least is None else least + apart)
        if place >= number:
            high = min(high, ends - apart, ends if most is None else most - apart)
    return low, high


def own_range(problem: Statement, hoist: Hoist) -> tuple[Decimal | None, Decimal | None]:
    """Least and greatest position of a hoist as its own `from` and `to` say.

    None for an end that is not given, or is a station without a position.
    """

    def position(end: Decimal | str | None) -> Decimal | None:
        return problem.station_by_name[end].position if isinstance(end, str) else end

    return position(hoist.from_), position(hoist.to)


def serves(problem: Statement, number: int, station: Station) -> bool:
    """Whether a hoist can stand at a station and may serve it."""
    hoist: Hoist = problem.hoists[number]
    if station.name in hoist.unreachable:
        return False
    if len(problem.hoists) == 1 and hoist.from_ is None and hoist.to is None:
        return True
    if station.position is None:
        return False
    low, high = reach(problem, number)
    return low <= station.position <= high


def brings(
    problem: Statement, number: int, sources: tuple[str, ...], targets: tuple[str, ...]
) -> bool:
    """Whether a hoist can make some move from one of the stations to another."""
    at = problem.station_by_name
    return any(
        serves(problem, number, at[source]) and serves(problem, number, at[target])
        for source in sources
        for target in targets
        if source != target
    )


def brings_some(problem: Statement, sources: tuple[str, ...], targets: tuple[str, ...]) -> bool:
    """Whether some hoist can make some move from one of the stations to another."""
    hoists = range(len(problem.hoists))
    return any(brings(problem, number, sources, targets) for number in hoists)
