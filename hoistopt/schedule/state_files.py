"""States of the line in files: TOML and JSON, the same keys in both."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any, Literal

from ..base.errors import InputError, naming_file
from ..base.files import write_atomically
from ..base.numbers.decimals import on_last_decimal, told
from ..base.text import json_text, read_text
from ..base.workbook.package import is_workbook
from ..problem import Problem
from ..problem.files.load import read_toml
from ..problem.toml_text import toml_text
from .json_moves import is_json, parse_json
from .raw_move import MOST_LOADS, exact_figure
from .state import Between, Carried, HoistAt, LineState, Resting, Standing
from .state_checks import check_state
from .state_fields import (
    SHAPE,
    between_of,
    count_of,
    entries_of,
    name_of,
    station_of,
    table_of,
    weight_of,
)

_OF_SEVERAL = (
    'Write for each hoist [[hoist]] with name = "...", free_in = 0, and station = "..." or '
    "position = where it is."
)
_KEYS = ("note", "unit", "hoist", "standing", "returning", "resting")


def read_state(path: str | Path, problem: Problem) -> LineState:
    """Read a state of the line.

    Parameters
    ----------
    path : str or Path
        A JSON file where it begins with ``{`` or its name ends in ``.json``, else TOML.
    problem : Problem
        The line it is a state of.

    Returns
    -------
    LineState
        Every load with a number: that of the file, or the least one left over.

    Raises
    ------
    InputError
        One error naming the file, the field and the value.

    Examples
    --------
    >>> import hoistopt
    >>> from pathlib import Path
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> _ = Path("state.toml").write_text(
    ...     '[hoist]\\nstation = "Bench"\\nfree_in = 0\\n'
    ...     '[[standing]]\\nstation = "Wash"\\nrecipe = "Cases"\\nstage = 1\\nstood = [40, 70]\\n'
    ... )
    >>> hoistopt.read_state("state.toml", problem)
    <LineState: 1 carrier standing, hoist at Bench>
    """
    path = Path(path)
    if is_workbook(path):
        raise InputError("a state of the line in TOML or JSON", file=path, way_out=SHAPE)
    text = read_text(path)
    with naming_file(path):
        data = parse_json(text) if is_json(path, text) else read_toml(path, SHAPE)
        if isinstance(data, dict) and "moves" in data:
            raise InputError(
                "a state of the line; these are moves",
                field="moves",
                way_out="Of a cycle that is under way, say when: --at TIME takes its state.",
            )
        return state_from_data(data, problem)


def save_state(state: LineState, path: str | Path, problem: Problem) -> None:
    """Write a state, whole or not at all.

    Parameters
    ----------
    state : LineState
        What to write. A time of more than six decimals becomes two between which it lies.
    path : str or Path
        JSON where its name ends in ``.json``, else TOML.
    problem : Problem
        The line it is a state of.

    Raises
    ------
    InputError
        When the file cannot be written.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> hoistopt.save_state(hoistopt.LineState(), "state.toml", problem)
    >>> hoistopt.read_state("state.toml", problem).empty
    True
    """
    data = state_to_data(state, problem)
    write = json_text if Path(path).suffix.lower() == ".json" else toml_text
    write_atomically(path, write(data))


def state_from_data(data: object, problem: Problem) -> LineState:
    """A state from plain data, as TOML or JSON give it.

    Raises
    ------
    InputError
        For the first thing that is wrong.
    """
    table = table_of(data, None, _KEYS)
    unit = table.get("unit", problem.unit)
    if unit != problem.unit:
        raise InputError(
            f'times in the unit of the problem, "{problem.unit}"', field="unit", value=unit
        )
    hoist = table.get("hoist")
    several = isinstance(hoist, list)
    state = LineState(
        standing=tuple(
            _standing(entry, f"standing, entry {number}", problem)
            for number, entry in enumerate(entries_of(table, "standing"), start=1)
        ),
        hoist=None if hoist is None or several else _hoist(hoist, problem, "hoist"),
        hoists=tuple(
            _hoist(entry, problem, f"hoist, entry {number}")
            for number, entry in enumerate(hoist if isinstance(hoist, list) else (), start=1)
        ),
        returning=tuple(
            _returning(entry, f"returning, entry {number}", problem.unit)
            for number, entry in enumerate(entries_of(table, "returning"), start=1)
        ),
        resting=tuple(
            _resting(entry, f"resting, entry {number}", problem.unit)
            for number, entry in enumerate(entries_of(table, "resting"), start=1)
        ),
    )
    check_state(problem, state)
    return state.numbered()


def state_to_data(state: LineState, problem: Problem) -> dict[str, Any]:
    """Plain data that :func:`state_from_data` reads back.

    A time of more than six decimals is written as the two between which it lies.
    """
    data: dict[str, Any] = {"unit": problem.unit}
    if state.hoist is not None:
        data["hoist"] = _hoist_written(state.hoist)
    if state.hoists:
        data["hoist"] = [_hoist_written(hoist) for hoist in state.hoists]
    if state.standing:
        data["standing"] = [
            _without_none(
                station=entry.station,
                recipe=entry.recipe,
                stage=entry.stage,
                stood=_written(entry.stood),
                load=entry.load,
                carrier=entry.carrier,
                weight=_weight_written(entry.weight),
            )
            for entry in state.standing
        ]
    if state.returning:
        data["returning"] = [{"ready_in": _written(span)} for span in state.returning]
    if state.resting:
        data["resting"] = [
            {"station": entry.station, "empty_for": _written(entry.empty_for)}
            for entry in state.resting
        ]
    return data


def _hoist_written(hoist: HoistAt) -> dict[str, object]:
    one = hoist.carries
    return _without_none(
        name=hoist.name,
        station=hoist.station or None,
        position=None if hoist.position is None else _decimal(hoist.position, "down"),
        free_in=None if hoist.out_of_service else _written(hoist.free_in),
        out_of_service=hoist.out_of_service or None,
        carries=None
        if one is None
        else _without_none(
            recipe=one.recipe,
            stage=one.stage,
            load=one.load,
            carrier=one.carrier,
            weight=_weight_written(one.weight),
        ),
    )


def _without_none(**values: object) -> dict[str, object]:
    return {key: value for key, value in values.items() if value is not None}


def _written(span: Between) -> Decimal | list[Decimal]:
    low, high = _decimal(span.least, "down"), _decimal(span.most, "up")
    return low if low == high else [low, high]


def _weight_written(weight: Fraction) -> Decimal | None:
    """A weight; None where it is the usual one, and need not be said."""
    return None if weight == 1 else _decimal(weight, "down")


def _decimal(time: Fraction, towards: Literal["up", "down"]) -> Decimal:
    """A number of at most six decimals, without idle zeros."""
    return Decimal(told(Fraction(on_last_decimal(time, towards))))


def _standing(data: object, field: str, problem: Problem) -> Standing:
    table = table_of(
        data, field, ("station", "recipe", "stage", "stood", "load", "carrier", "weight")
    )
    return Standing(
        station=station_of(table, field, problem),
        stage=count_of(table, "stage", field, 0, 301),
        stood=between_of(table, "stood", field, problem.unit),
        recipe=name_of(table, "recipe", field) if table.get("recipe") is not None else None,
        load=count_of(table, "load", field, 1, MOST_LOADS)
        if table.get("load") is not None
        else None,
        carrier=name_of(table, "carrier", field) if table.get("carrier") is not None else None,
        weight=weight_of(table, field),
    )


def _hoist(data: object, problem: Problem, field: str) -> HoistAt:
    several = len(problem.hoists) > 1
    more = ("name", "position", "out_of_service") if several else ()
    if not several and isinstance(data, dict) and ("name" in data or "position" in data):
        raise InputError(
            "one hoist without name and position, as the line has one",
            field=f"{field}, {'name' if 'name' in data else 'position'}",
            way_out="Is it the state of another line? Where it is, is told by station.",
        )
    table = table_of(data, field, ("station", "free_in", "carries", *more))
    carries, position = table.get("carries"), table.get("position")
    nowhere = several and position is not None and table.get("station") is None
    out = table.get("out_of_service", False)
    if not isinstance(out, bool):
        raise InputError("true or false", field=f"{field}, out_of_service", value=out)
    never = out and table.get("free_in") is None
    for key in ("name", "free_in") if several else ():
        if table.get(key) is None and not (never and key == "free_in"):
            raise InputError("this key to be present", field=f"{field}, {key}", way_out=_OF_SEVERAL)
    return HoistAt(
        station="" if nowhere else station_of(table, field, problem),
        free_in=Between.of(0) if never else between_of(table, "free_in", field, problem.unit),
        carries=None if carries is None else _carried(carries, f"{field}, carries"),
        name=name_of(table, "name", field) if several else None,
        position=None
        if position is None
        else Fraction(exact_figure(position, f"{field}, position")),
        out_of_service=out,
    )


def _carried(data: object, field: str) -> Carried:
    table = table_of(data, field, ("recipe", "stage", "load", "carrier", "weight"))
    return Carried(
        recipe=name_of(table, "recipe", field),
        stage=count_of(table, "stage", field, 0, 301),
        load=count_of(table, "load", field, 1, MOST_LOADS)
        if table.get("load") is not None
        else None,
        carrier=name_of(table, "carrier", field) if table.get("carrier") is not None else None,
        weight=weight_of(table, field),
    )


def _returning(data: object, field: str, unit: str) -> Between:
    return between_of(table_of(data, field, ("ready_in",)), "ready_in", field, unit)


def _resting(data: object, field: str, unit: str) -> Resting:
    table = table_of(data, field, ("station", "empty_for"))
    return Resting(name_of(table, "station", field), between_of(table, "empty_for", field, unit))
