"""Whether the entries of a state leave room for one another: places, carriers, rests, order."""

from __future__ import annotations

from collections import Counter

from ..base.errors import InputError
from ..base.numbers.decimals import told
from ..base.text import counted
from ..problem import Problem
from .state import LineState, Standing
from .state_entries import check_between, check_station


def check_room(problem: Problem, state: LineState) -> None:
    """Refuse carriers for which the line has no place, or that it does not have.

    Parameters
    ----------
    problem : Problem
    state : LineState
        What stands in it, and where its hoists are, is of the line already.

    Raises
    ------
    InputError
        For the first thing that is wrong.
    """
    _check_places(problem, state)
    _check_order(problem, state)
    _check_carriers(problem, state)
    _check_resting(problem, state)


def _check_places(problem: Problem, state: LineState) -> None:
    count = Counter(entry.station for entry in state.standing)
    for name, number in count.items():
        capacity = problem.station_by_name[name].capacity
        if isinstance(capacity, int) and number > capacity:
            one = counted(capacity, "carrier")
            raise InputError(
                f"at most {one} in {name}, which has so many places",
                field="standing",
                value=f"{number} carriers in {name}",
                way_out="Take out the one that is not there.",
            )

    if len(problem.hoists) == 1:  # another hoist may take out in time what stands there
        _check_place_ahead(problem, state, count)


def _check_place_ahead(problem: Problem, state: LineState, count: Counter[str]) -> None:
    """Where the hoist sets its load down nobody but the hoist can make room meanwhile."""
    hoist = state.hoist
    if hoist is None or hoist.carries is None:
        return
    station = problem.station_by_name[hoist.station]
    if station.loads or (station.unloads and problem.carriers.return_ != "hoist"):
        return  # people take carriers away there
    standing = count[hoist.station]
    if isinstance(station.capacity, int) and standing >= station.capacity:
        stand = counted(standing, "carrier stands", "carriers stand")
        raise InputError(
            "a station with a free place, as the hoist sets its load down there",
            field="hoist, station",
            value=f"{hoist.station}, where {stand}",
            way_out="Two carriers cannot share a place: correct the station or take out the one "
            "that is not there.",
        )


def _check_order(problem: Problem, state: LineState) -> None:
    """In a station that keeps order, who is listed later came no earlier for certain."""
    before: dict[str, Standing] = {}
    for number, entry in enumerate(state.standing, start=1):
        station = problem.station_by_name[entry.station]
        earlier = before.get(entry.station)
        keeps = station.order == "fifo" and entry.recipe is not None
        if earlier is not None and keeps and entry.stood.least > earlier.stood.most:
            raise InputError(
                f"carriers in {entry.station} in the order in which they came",
                field=f"standing, entry {number}",
                value=f"stood {told(entry.stood.least)}, listed after one that stood "
                f"{told(earlier.stood.most)}",
                way_out="This station keeps the order; list the one that came first first.",
            )
        if keeps:
            before[entry.station] = entry


def _check_carriers(problem: Problem, state: LineState) -> None:
    carriers = problem.carriers
    if state.returning and (carriers.count is None or carriers.return_ == "hoist"):
        raise InputError(
            "none, as the line does not count carriers that return outside it",
            field="returning",
            value=f"{len(state.returning)} carriers",
        )
    for number, span in enumerate(state.returning, start=1):
        check_between(span, f"returning, entry {number}, ready_in", negative=True)
    number = _carriers_in(problem, state)
    if carriers.count is not None and number > carriers.count:
        raise InputError(
            f"at most {carriers.count} carriers, which is how many there are",
            field="standing",
            value=f"{number} carriers with those on their way back",
        )


def _check_resting(problem: Problem, state: LineState) -> None:
    taken = Counter(entry.station for entry in state.standing)
    for number, entry in enumerate(state.resting, start=1):
        field = f"resting, entry {number}"
        check_station(problem, entry.station, f"{field}, station")
        check_between(entry.empty_for, f"{field}, empty_for", negative=False)
        station = problem.station_by_name[entry.station]
        if not station.min_rest:
            raise InputError(
                "a station that has a min_rest", field=f"{field}, station", value=entry.station
            )
        taken[entry.station] += 1
        if isinstance(station.capacity, int) and taken[entry.station] > station.capacity:
            one = counted(station.capacity, "place")
            raise InputError(
                f"no more than {one} in {entry.station}, carriers standing there included",
                field=f"{field}, station",
                value=entry.station,
                way_out="A place in which a carrier stands does not rest; take out one of the two.",
            )


def _carriers_in(problem: Problem, state: LineState) -> int:
    """Carriers of which a state says where they are, those on their way back included.

    An empty one at a load station served from outside is one of those that wait there.
    """
    by_hoist = problem.carriers.return_ == "hoist"
    number = sum(
        entry.recipe is not None or by_hoist or problem.station_by_name[entry.station].unloads
        for entry in state.standing
    )
    return number + len(state.returning) + len(state.carried)
