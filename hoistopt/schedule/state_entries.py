"""Whether one entry of a state can be one of the line: a carrier that stands, or a hoist."""

from __future__ import annotations

from fractions import Fraction

from ..base.errors import InputError
from ..base.numbers.decimals import told
from ..base.text import plural
from ..problem import Hoist, Problem
from .raw_move import unknown_name
from .state import Between, HoistAt, LineState, Standing
from .state_hoists import check_hoists

MOST_WEIGHT = 10**6
"""The greatest weight that the lateness of a load may have."""


def last_stage(problem: Problem, recipe: str) -> int:
    """The number of the stage of a recipe that is its unloading."""
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


def check_between(span: Between, field: str, *, negative: bool) -> None:
    """Refuse a time of which the longest is below the shortest, or that lies before 0.

    Parameters
    ----------
    span : Between
    field : str
        Names it in the error.
    negative : bool
        Whether it may lie before 0.

    Raises
    ------
    InputError
    """
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


def check_standing(problem: Problem, entry: Standing, field: str) -> None:
    """Refuse a carrier at a station that does not serve its stage, or that is none of the line.

    Raises
    ------
    InputError
        For the first thing that is wrong; `field` names the entry there.
    """
    check_station(problem, entry.station, f"{field}, station")
    check_between(entry.stood, f"{field}, stood", negative=False)
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
    last = last_stage(problem, entry.recipe)
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
    last = last_stage(problem, recipe)
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
            f"{' or '.join(served)}, which {plural(len(served), 'serves', 'serve')} stage {stage} "
            f'of recipe "{recipe}"',
            field=f"{field}, station",
            value=station,
            way_out="It is out of service: for a load that stands there, plan with it in service."
            if problem.station_by_name[station].out_of_service
            else "Correct the station or the stage.",
        )


def check_station(problem: Problem, name: str, field: str) -> None:
    """Refuse a station that the line does not have, with an :class:`InputError`."""
    if name not in problem.station_by_name:
        raise unknown_name("station", list(problem.station_by_name), field, name)


def _check_recipe(problem: Problem, name: str, field: str) -> None:
    if name not in problem.recipe_by_name:
        raise unknown_name("recipe", list(problem.recipe_by_name), field, name)


def check_hoist(problem: Problem, state: LineState) -> None:
    """Refuse a hoist, or one of several, that is or carries what it cannot.

    Raises
    ------
    InputError
        For the first thing that is wrong; where there are loads in the line and it is not told
        where the hoist is.
    """
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
        check_station(problem, hoist.station, f"{field}, station")
    if hoist.station in stated.unreachable:
        raise InputError(
            "a station the hoist can reach", field=f"{field}, station", value=hoist.station
        )
    # Of several hoists it is said where one is that is on its way, so no time is below 0.
    one = hoist.carries is None and hoist.name is None
    check_between(hoist.free_in, f"{field}, free_in", negative=one)
    if hoist.carries is None:
        return
    _check_weight(hoist.carries.weight, f"{field}, carries, weight")
    recipe, stage = hoist.carries.recipe, hoist.carries.stage
    _check_recipe(problem, recipe, f"{field}, carries, recipe")
    last = last_stage(problem, recipe)
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
