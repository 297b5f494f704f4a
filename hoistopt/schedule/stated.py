"""What a file of moves states about its schedule: how good it is known to be."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any, Literal

from ..base.errors import InputError, naming_file
from ..base.text import counted, read_text
from ..base.workbook.package import is_workbook
from ..problem import Problem
from .json_moves import is_json, parse_json
from .raw_move import exact_figure
from .schedule import Schedule
from .stated_degrees import StatedDegrees, stated_degree, stated_degrees


@dataclass(frozen=True)
class Stated:
    """A bound and what it proves, as a file states them; nobody has proved them again.

    Attributes
    ----------
    status : {"optimal", "feasible"}
        "optimal" where the file says so and its bound is the cycle time.
    lower_bound : Fraction
        Below every schedule of this degree, in the problem's unit.
    degree : int
        Sets of loads per cycle, of the moves and as far as the file says.
    runtime : float or None
        Seconds of search; None where the file does not say.
    compared : StatedDegrees or None
        The degrees compared, and the choice among them; None where the file has neither.
    runnable : bool
        Whether the file holds another schedule, the shortest found that can be run.
    """

    status: Literal["optimal", "feasible"]
    lower_bound: Fraction
    degree: int
    runtime: float | None
    compared: StatedDegrees | None = None
    runnable: bool = False


def read_stated(
    path: str | Path, problem: Problem, schedule: Schedule, loads: int
) -> Stated | None:
    """Read what a JSON file of moves states, such as `hoistopt solve --json` writes.

    Parameters
    ----------
    path : str or Path
        The file that `schedule` was read from.
    problem : Problem
    schedule : Schedule
    loads : int
        That enter in one of its cycles.

    Returns
    -------
    Stated or None
        None where the file states no bound, or one for a line of another name.

    Raises
    ------
    InputError
        When what is stated makes no sense, such as a bound above the cycle time.
    """
    path = Path(path)
    if is_workbook(path):
        return None
    text = read_text(path)
    if not is_json(path, text):
        return None
    with naming_file(path):
        return _stated(parse_json(text), problem, schedule, loads)


def _stated(data: Any, problem: Problem, schedule: Schedule, loads: int) -> Stated | None:
    status = data.get("status")
    if status not in ("optimal", "feasible") or data.get("lower_bound") is None:
        return None
    if data.get("problem", problem.name) != problem.name:
        return None
    degree, rest = divmod(loads, len(problem.load_set))
    cycle, other = schedule.time(schedule.cycle), data.get("runnable")
    # What is stated is about the least cycle: not about one that can be run of another degree.
    found = (degree, cycle)
    runnable = isinstance(other, dict) and (other.get("degree"), other.get("cycle_time")) == found
    if runnable and data.get("degree") != degree and data.get("cycle_time") != cycle:
        return None
    bound = Fraction(_number(data, "lower_bound"))
    if not 0 <= bound <= cycle:
        raise InputError(
            "a bound from 0 to the cycle time",
            field="lower_bound",
            value=data["lower_bound"],
            way_out="No schedule is below its bound; correct the file, or leave the bound out.",
        )
    given = None if data.get("degree") is None else stated_degree(data)
    if rest or given not in (None, degree):
        raise InputError(
            f"the degree of the moves, {counted(loads, 'load')} per cycle",
            field="degree",
            value=given,
            way_out="A bound is one for its degree; correct the file, or leave the bound out.",
        )
    return Stated(
        status="optimal" if status == "optimal" and bound == cycle else "feasible",
        lower_bound=bound,
        degree=degree,
        runtime=None if data.get("runtime") is None else _runtime(data),
        compared=None if given is None else stated_degrees(data, degree, problem),
        runnable=_holds_runnable(data),
    )


def _holds_runnable(data: dict[str, Any]) -> bool:
    other = data.get("runnable")
    if other is not None and not isinstance(other, dict):
        raise InputError(
            "an object with cycle_time and moves, or null",
            field="runnable",
            value=other,
            way_out="Correct the file, or leave this key out.",
        )
    return other is not None


def _number(data: dict[str, Any], field: str) -> Decimal:
    value = data[field]
    if isinstance(value, dict | list):
        raise InputError("a single number", field=field)
    return exact_figure(value, field)


def _runtime(data: dict[str, Any]) -> float:
    number = _number(data, "runtime")
    if number < 0:
        raise InputError("seconds, 0 or more", field="runtime", value=data["runtime"])
    return float(number)
