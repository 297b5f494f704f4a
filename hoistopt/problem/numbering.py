"""Which number a station has on the controller."""

from __future__ import annotations

from collections.abc import Mapping

from ..base.errors import InputError
from .line import LARGEST_NUMBER
from .problem import Problem


def numbered(
    problem: Problem, order: str | Mapping[str, int] = "list", first: int = 0
) -> dict[str, int]:
    """Number the stations.

    Parameters
    ----------
    problem : Problem
        The line.
    order : str or mapping
        ``"own"``: the numbers that the problem gives them, where it numbers them all, else as
        ``"list"``. ``"list"``: as the problem lists them. ``"track"``: along the track, from the
        least position; stations at one position as listed. Or the number of each station
        by name.
    first : int
        Number of the first station, for the two orders.

    Returns
    -------
    dict
        Number by name, in rising order of number.

    Raises
    ------
    InputError
        When a station has no number or no position to go by, a name is not known, a
        number is out of range or given twice.
    """
    if isinstance(order, Mapping):
        return _given(problem, order)
    _check_number(first, "first station number")
    own = {s.number: s.name for s in problem.stations if s.number is not None}
    if order == "own" and len(own) == len(problem.stations):
        if first:
            raise InputError(
                "no first number, as the problem file numbers the stations",
                field="first station number",
                value=first,
                way_out='The order "list" numbers them anew.',
            )
        return {own[number]: number for number in sorted(own)}
    names = [station.name for station in problem.stations]
    if order == "track":
        names = _along_the_track(problem)
    elif order not in ("list", "own"):
        raise InputError(
            '"own", "list", "track" or a number for each station',
            field="station numbers",
            value=order,
        )
    if first + len(names) - 1 > LARGEST_NUMBER:
        raise InputError(
            f"numbers up to {LARGEST_NUMBER} for {len(names)} stations",
            field="first station number",
            value=first,
        )
    return {name: number for number, name in enumerate(names, start=first)}


def _along_the_track(problem: Problem) -> list[str]:
    for number, station in enumerate(problem.stations, start=1):
        if station.position is None:
            raise InputError(
                "a position, to number the stations along the track",
                field=f'station {number} ("{station.name}"), position',
                way_out="Give every station its position, or number them in the order of the file.",
            )
    ordered = sorted(problem.stations, key=lambda station: station.position or 0)
    return [station.name for station in ordered]


def _given(problem: Problem, numbers: Mapping[str, int]) -> dict[str, int]:
    for name, number in numbers.items():
        if name not in problem.station_by_name:
            raise InputError(
                "the name of a station of this line", field="station numbers", value=name
            )
        _check_number(number, f'number of station "{name}"')
    taken: dict[int, str] = {}
    for station in problem.stations:
        found = numbers.get(station.name)
        if found is None:
            raise InputError(
                "a number for every station",
                field="station numbers",
                way_out=f'Give one to "{station.name}" too.',
            )
        if found in taken:
            raise InputError(
                f'a number of its own; "{taken[found]}" has this one',
                field=f'number of station "{station.name}"',
                value=found,
            )
        taken[found] = station.name
    return {name: number for number, name in sorted(taken.items())}


def _check_number(number: object, field: str) -> None:
    whole = isinstance(number, int) and not isinstance(number, bool)
    if not whole or not 0 <= int(str(number)) <= LARGEST_NUMBER:
        raise InputError(f"a whole number from 0 to {LARGEST_NUMBER}", field=field, value=number)
