"""Rules that tie the parts of a problem together.

Each check takes the problem and raises one InputError, or returns quietly.
"""

from __future__ import annotations

from ...base.errors import InputError
from ...base.text import nearest_or_known
from ..recipe import MOST_STAGES, Stage
from ..statement import Statement, stages_of
from . import hoist_checks, station_checks, time_checks
from .margin_checks import narrow_windows


def _names_differ(problem: Statement) -> None:
    for what, names in (
        ("station", [station.name for station in problem.stations]),
        ("recipe", [recipe.name for recipe in problem.recipes]),
    ):
        seen: dict[str, int] = {}
        for number, name in enumerate(names, start=1):
            if name in seen:
                raise InputError(
                    f"every {what} to have a name of its own",
                    field=f"{what} {number}, name",
                    value=name,
                    way_out=f"{what.capitalize()} {seen[name]} has it already; rename one.",
                )
            seen[name] = number


def _known(problem: Statement, name: str, field: str) -> None:
    if name not in problem.station_by_name:
        raise InputError(
            "the name of a station of this line",
            field=field,
            value=name,
            way_out=nearest_or_known(name, list(problem.station_by_name), "stations"),
        )


def _stations_known(problem: Statement) -> None:
    for field, _, _, stage in stages_of(problem):
        for name in stage.station:
            _known(problem, name, f"{field}, station")
        if len(set(stage.station)) < len(stage.station):
            raise InputError(
                "each alternative station once",
                field=f"{field}, station",
                value=", ".join(stage.station),
                way_out="Remove the repeated name; for a tank with several places set capacity.",
            )
    for number, crossing in enumerate(problem.crossings, start=1):
        for key, names in (("from", crossing.from_), ("over", crossing.over)):
            for name in names:
                _known(problem, name, f"crossing {number}, {key}")
    for key in ("loaded", "empty"):
        for number, entry in enumerate(getattr(problem.times, key), start=1):
            for end, name in (("from", entry.from_), ("to", entry.to)):
                _known(problem, name, f"times, {key} {number}, {end}")


def _ends_known(problem: Statement) -> None:
    for recipe in problem.recipes:
        for key, given, fits in (
            ("load", recipe.load, "loads"),
            ("unload", recipe.unload, "unloads"),
        ):
            field = f'recipe "{recipe.name}", {key}'
            there = [station.name for station in problem.stations if getattr(station, fits)]
            kinds = f'kind "{key}" or "load-unload"'
            if given is not None:
                _known(problem, given, field)
                if given not in there:
                    raise InputError(
                        f"a station of {kinds}",
                        field=field,
                        value=given,
                        way_out=f"Name one of: {', '.join(there) or 'none yet'}, "
                        "or change that station's kind.",
                    )
            elif not there:
                raise InputError(
                    f"a station of {kinds} where the recipe can {key}",
                    field=field,
                    way_out="Add one, or give a station that kind.",
                )
            elif len(there) > 1:
                raise InputError(
                    "a choice, as the line has several such stations",
                    field=field,
                    way_out=f"Write {key} = one of: {', '.join(there)}.",
                )


def _shared_ends(problem: Statement) -> None:
    for recipe in problem.recipes:
        load, unload = problem.load_station(recipe), problem.unload_station(recipe)
        if "load-unload" in (load.kind, unload.kind) and load.name != unload.name:
            raise InputError(
                "a load-unload station to be both ends of a recipe",
                field=f'recipe "{recipe.name}", unload',
                value=unload.name,
                way_out=f"Load and unload at one station, or give {load.name} kind "
                f'"load" and {unload.name} kind "unload".',
            )


def _stages_sensible(problem: Statement) -> None:
    for recipe in problem.recipes:
        if len(recipe.stages) > MOST_STAGES:
            raise InputError(
                f"at most {MOST_STAGES} stages",
                field=f'recipe "{recipe.name}", stage',
                value=f"{len(recipe.stages)} stages",
            )
    for field, recipe, number, stage in stages_of(problem):
        if stage.max is not None and stage.min > stage.max:
            raise InputError(
                f"at least min, which is {stage.min}",
                field=f"{field}, max",
                value=stage.max,
                way_out="Raise max or lower min; leave max out for no maximum.",
            )
        if stage.nominal is not None and not (
            stage.min <= stage.nominal and (stage.max is None or stage.nominal <= stage.max)
        ):
            raise InputError(
                f"at least min, which is {stage.min}"
                + ("" if stage.max is None else f", and at most max, which is {stage.max}"),
                field=f"{field}, nominal",
                value=stage.nominal,
                way_out="Leave nominal out where any dwell in the window is as good.",
            )
        _giving(field, stage)
        for name in stage.station:
            kind = problem.station_by_name[name].kind
            if kind not in ("tank", "dryer"):
                raise InputError(
                    'a station of kind "tank" or "dryer"',
                    field=f"{field}, station",
                    value=f"{name} (kind {kind})",
                    way_out="Loading and unloading are not stages: leave them out, "
                    "or change the station's kind.",
                )
        alone = number > 1 and len(stage.station) == 1
        if alone and recipe.stages[number - 2].station == stage.station:
            raise InputError(
                "a station other than the stage before it uses",
                field=f"{field}, station",
                value=stage.station[0],
                way_out="A carrier cannot move to where it stands; join the two stages.",
            )


def _giving(field: str, stage: Stage) -> None:
    """How far the ends of a window may give way is less than all the way, and from an end."""
    if stage.may_give_min is not None and stage.may_give_min > stage.min:
        raise InputError(
            f"at most min, which is {stage.min:f}",
            field=f"{field}, may_give_min",
            value=stage.may_give_min,
            way_out="It says by how much less than min would still do.",
        )
    if stage.may_give_max is not None and stage.max is None:
        raise InputError(
            "a max that could give way",
            field=f"{field}, may_give_max",
            value=stage.may_give_max,
            way_out="Without a max a load may stay as long as it likes: remove the key.",
        )


def _mix_known(problem: Statement) -> None:
    cycle = problem.cycle
    for key, names in (("mix", cycle.mix), ("order", cycle.order)):
        if names is None:
            continue
        if not names:
            raise InputError("at least one recipe", field=f"cycle, {key}")
        for name in names:
            if name not in problem.recipe_by_name:
                raise InputError(
                    "the name of a recipe of this file",
                    field=f"cycle, {key}",
                    value=name,
                    way_out=nearest_or_known(name, list(problem.recipe_by_name), "recipes"),
                )
    if cycle.max is not None and cycle.min > cycle.max:
        raise InputError(
            f"at least min, which is {cycle.min}",
            field="cycle, max",
            value=cycle.max,
            way_out="Raise max or lower min; leave max out for no maximum.",
        )
    if cycle.mix is not None and cycle.order is not None:
        counted = {name: cycle.order.count(name) for name in cycle.order}
        if counted != dict(cycle.mix):
            raise InputError(
                "an order with exactly the loads of the mix",
                field="cycle, order",
                value=", ".join(cycle.order),
                way_out="Make the two agree, or leave mix out.",
            )
    if cycle.mix is None and cycle.order is None and len(problem.recipes) > 1:
        raise InputError(
            "a mix, as the file has several recipes",
            field="cycle, mix",
            way_out='Write for example [cycle] mix = { "'
            + '" = 1, "'.join(recipe.name for recipe in problem.recipes)
            + '" = 1 }.',
        )


def _carriers_return(problem: Statement) -> None:
    if problem.carriers.return_ == "outside":
        return
    for recipe in problem.recipes:
        if problem.unload_station(recipe).name == problem.load_station(recipe).name:
            raise InputError(
                '"outside", as the recipe loads and unloads at one station',
                field="carriers, return",
                value="hoist",
                way_out="Give the recipe separate stations, or leave return out.",
            )
    if problem.carriers.return_time:
        raise InputError(
            "no return_time when the hoist returns the carriers",
            field="carriers, return_time",
            value=problem.carriers.return_time,
            way_out="Remove it; the hoist's own times count.",
        )


ALL = (
    _names_differ,
    _stations_known,
    *station_checks.ALL,
    _ends_known,
    _shared_ends,
    _stages_sensible,
    narrow_windows,
    _mix_known,
    _carriers_return,
    *hoist_checks.ALL,
    *time_checks.ALL,
)
