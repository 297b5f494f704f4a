"""Whether a state can be one of a line: names, stages, places, carriers."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Container
from fractions import Fraction

from ..base.decimals import told
from ..base.errors import InputError
from ..problem import Hoist, Problem
from .raw_move import unknown_name
from .state import Between, HoistAt, LineState, Standing
from .state_hoists import check_hoists

Where = Callable[[int], str]

MOST_WEIGHT = 10**6


def check_state(problem: Problem, state: LineState) -> None:
    """Refuse a state that cannot be one of the line.

    A dwell beyond its maximum can be: it is what a stop leaves behind. See
    :func:`overstays`.

    Raises
    ------
    InputError
        For the first thing that is wrong.
    """
    for number, entry in enumerate(state.standing, start=1):
        _check_standing(problem, entry, f"standing, entry {number}")
    _check_hoist(problem, state)
    _check_places(problem, state)
    _check_order(problem, state)
    _check_carriers(problem, state)
    _check_resting(problem, state)
    twice = [load for load, times in Counter(state.loads).items() if times > 1]
    if twice:
        raise InputError(
            "each load once",
            field=f"{_entry_of(state, twice[0])}load",
            value=twice[0],
            way_out="It stands in one tank, or hangs at a hoist. Give the other another number, or "
            "leave the numbers out.",
        )


def _entry_of(state: LineState, load: int) -> str:
    """The last of the entries in which a load stands, for an error; or nothing."""
    entries = enumerate(state.standing, start=1)
    found = [number for number, entry in entries if entry.load == load]
    return f"standing, entry {found[-1]}, " if found else ""


def _last(problem: Problem, recipe: str) -> int:
    return len(problem.recipe_by_name[recipe].stages) + 1


def stations_of(problem: Problem, recipe: str, stage: int) -> tuple[str, ...]:
    """The stations that serve a stage of a recipe: 0 is loading, one more than its last
    stage is unloading."""
    found = problem.recipe_by_name[recipe]
    if stage == 0:
        return (problem.load_station(found).name,)
    if stage > len(found.stages):
        return (problem.unload_station(found).name,)
    return found.stages[stage - 1].station


def _check_between(span: Between, field: str, *, negative: bool) -> None:
    if span.least > span.most:
        raise InputError(
            "the shorter time first", field=field, value=f"{told(span.least)}, {told(span.most)}"
        )
    if span.least < 0 and not negative:
        raise InputError("a time of at least 0", field=field, value=told(span.least))


def _check_weight(weight: Fraction, field: str) -> None:
    if not 0 < weight <= MOST_WEIGHT or (weight * 1000).denominator != 1:
        raise InputError(
            "a number above 0 of at most 3 decimals, at most a million",
            field=field,
            value=told(weight),
        )


def _check_standing(problem: Problem, entry: Standing, field: str) -> None:
    _check_station(problem, entry.station, f"{field}, station")
    _check_between(entry.stood, f"{field}, stood", negative=False)
    _check_weight(entry.weight, f"{field}, weight")
    if entry.recipe is None:
        if entry.stage != 0:
            raise InputError(
                "a recipe, as a carrier in the line holds a load",
                field=f"{field}, recipe",
                way_out="Only an empty carrier at a load station, stage 0, has none.",
            )
        if not problem.station_by_name[entry.station].loads:
            raise InputError(
                "a load station, as an empty carrier stands there",
                field=f"{field}, station",
                value=entry.station,
                way_out="Give recipe and stage of the load that stands there.",
            )
        return
    _check_recipe(problem, entry.recipe, f"{field}, recipe")
    last = _last(problem, entry.recipe)
    if entry.stage == 0:
        raise InputError(
            f"a stage from 1 to {last}",
            field=f"{field}, stage",
            value=0,
            way_out="A load that has not been lifted is no part of the state; leave the recipe "
            "out, for the empty carrier that stands there.",
        )
    _check_stage(problem, entry.recipe, entry.stage, entry.station, field)


def _check_stage(problem: Problem, recipe: str, stage: int, station: str, field: str) -> None:
    last = _last(problem, recipe)
    if not 1 <= stage <= last:
        raise InputError(
            f'a stage that recipe "{recipe}" has, 1 to {last}',
            field=f"{field}, stage",
            value=stage,
            way_out=f"{last} is the unload station.",
        )
    served = stations_of(problem, recipe, stage)
    if station not in served:
        raise InputError(
            f"{' or '.join(served)}, which serve{'s' * (len(served) == 1)} stage {stage} of "
            f'recipe "{recipe}"',
            field=f"{field}, station",
            value=station,
            way_out="It is out of service: for a load that stands there, plan with it in service."
            if problem.station_by_name[station].out_of_service
            else "Correct the station or the stage.",
        )


def _check_station(problem: Problem, name: str, field: str) -> None:
    if name not in problem.station_by_name:
        raise unknown_name("station", list(problem.station_by_name), field, name)


def _check_recipe(problem: Problem, name: str, field: str) -> None:
    if name not in problem.recipe_by_name:
        raise unknown_name("recipe", list(problem.recipe_by_name), field, name)


def _check_hoist(problem: Problem, state: LineState) -> None:
    if len(problem.hoists) > 1:
        check_hoists(problem, state)
        for at in state.hoists:
            stated = next(hoist for hoist in problem.hoists if hoist.name == at.name)
            _check_one(problem, at, stated, f"hoist {at.name}")
        return
    if state.hoists:
        raise InputError(
            "one hoist, as the line has one", field="hoist", value=f"{len(state.hoists)} hoists"
        )
    hoist = state.hoist
    if hoist is None:
        if state.empty:
            return
        raise InputError(
            "where the hoist is, as there are loads in the line",
            field="hoist",
            way_out='Write [hoist] and below it station = "..." and free_in = 0.',
        )
    _check_one(problem, hoist, problem.hoists[0], "hoist")


def _check_one(problem: Problem, hoist: HoistAt, stated: Hoist, field: str) -> None:
    """Check where a hoist is and what it carries; `field` names it in errors."""
    if hoist.station or hoist.name is None:
        _check_station(problem, hoist.station, f"{field}, station")
    if hoist.station in stated.unreachable:
        raise InputError(
            "a station the hoist can reach", field=f"{field}, station", value=hoist.station
        )
    # Of several hoists it is said where one is that is on its way, so no time is below 0.
    one = hoist.carries is None and hoist.name is None
    _check_between(hoist.free_in, f"{field}, free_in", negative=one)
    if hoist.carries is None:
        return
    _check_weight(hoist.carries.weight, f"{field}, carries, weight")
    recipe, stage = hoist.carries.recipe, hoist.carries.stage
    _check_recipe(problem, recipe, f"{field}, carries, recipe")
    last = _last(problem, recipe)
    by_hoist = problem.carriers.return_ == "hoist"
    if not 0 <= stage <= last - (not by_hoist):
        raise InputError(
            f"the stage it was lifted from, 0 to {last - (not by_hoist)}",
            field=f"{field}, carries, stage",
            value=stage,
        )
    reached = stations_of(problem, recipe, 0 if stage == last else stage + 1)
    if hoist.station not in reached:
        raise InputError(
            f'{" or ".join(reached)}, where a load of "{recipe}" lifted from stage {stage} goes',
            field=f"{field}, station",
            value=hoist.station,
            way_out="The station is the one at which the load is set down.",
        )


def _check_places(problem: Problem, state: LineState) -> None:
    count = Counter(entry.station for entry in state.standing)
    for name, number in count.items():
        capacity = problem.station_by_name[name].capacity
        if isinstance(capacity, int) and number > capacity:
            one = "1 carrier" if capacity == 1 else f"{capacity} carriers"
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
        stand = "1 carrier stands" if standing == 1 else f"{standing} carriers stand"
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
        _check_between(span, f"returning, entry {number}, ready_in", negative=True)
    number = carriers_in(problem, state)
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
        _check_station(problem, entry.station, f"{field}, station")
        _check_between(entry.empty_for, f"{field}, empty_for", negative=False)
        station = problem.station_by_name[entry.station]
        if not station.min_rest:
            raise InputError(
                "a station that has a min_rest", field=f"{field}, station", value=entry.station
            )
        taken[entry.station] += 1
        if isinstance(station.capacity, int) and taken[entry.station] > station.capacity:
            one = "1 place" if station.capacity == 1 else f"{station.capacity} places"
            raise InputError(
                f"no more than {one} in {entry.station}, carriers standing there included",
                field=f"{field}, station",
                value=entry.station,
                way_out="A place in which a carrier stands does not rest; take out one of the two.",
            )


def carriers_in(problem: Problem, state: LineState) -> int:
    """Carriers of which a state says where they are, those on their way back included.

    An empty one at a load station served from outside is one of those that wait there.
    """
    by_hoist = problem.carriers.return_ == "hoist"
    number = sum(
        entry.recipe is not None or by_hoist or problem.station_by_name[entry.station].unloads
        for entry in state.standing
    )
    return number + len(state.returning) + len(state.carried)


def overstays(problem: Problem, state: LineState, besides: Container[int | None] = ()) -> list[str]:
    """A sentence for each load that stands, or may stand, longer than its maximum already.

    Loads `besides` are left out.
    """
    found = []
    for entry in state.standing:
        if entry.recipe is None or not 1 <= entry.stage < _last(problem, entry.recipe):
            continue
        if entry.load is not None and entry.load in besides:
            continue
        stage = problem.recipe_by_name[entry.recipe].stages[entry.stage - 1]
        if stage.max is None or entry.stood.most <= stage.max:
            continue
        sure = "has stood" if entry.stood.least > stage.max else "may have stood"
        which = "The load" if entry.load is None else f"Load {entry.load}"
        found.append(
            f"{which} of {entry.recipe} in {entry.station} {sure} for "
            f"{told(entry.stood.most)} {problem.unit}, longer than its maximum of "
            f"{stage.max:f} {problem.unit} in stage {entry.stage} ({stage.label})."
        )
    return found
