"""The points of a study: problems that differ in the settings of some parameters."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from hashlib import sha256
from itertools import product
from math import prod

from ...base.errors import InfeasibleError, InputError
from ...base.names import checked_name
from ...instance import build_instance
from ...problem import Problem
from .hoists import set_hoists
from .keypath import KeyPath
from .levels import Level, Value, plain_value, written
from .parallel import set_parallel
from .parameter import Parameter, read_name
from .settings import Data, plain_data, set_value, set_whole_mix

SPECIAL = ("mix", "parallel", "hoists")
"""Keys that are no keys of the problem file."""
MOST_DESIGNS = 2000
MOST_NAME = 200
COST, NAME = "cost", "name"


@dataclass(frozen=True)
class Design:
    """A problem with some parameters set.

    Attributes
    ----------
    settings : tuple of (str, value)
        Parameters by name and what each is set to; empty for the line as it is.
    problem : Problem
    degree : int
    cost : Decimal or None
        What the settings cost together; those without a cost count as free.
    name : str
        A name of its own, if it has one.
    """

    settings: tuple[tuple[str, Value], ...]
    problem: Problem
    degree: int
    cost: Decimal | None = None
    name: str = ""

    @cached_property
    def key(self) -> str:
        """Digest of what is to be solved; designs with the same key have the same answer."""
        text = f"{self.degree} {self.problem.model_dump_json(by_alias=True, warnings=False)}"
        return sha256(text.encode()).hexdigest()[:24]

    @property
    def label(self) -> str:
        """Its name, or its settings."""
        told = ", ".join(f"{name} = {written(value)}" for name, value in self.settings)
        return self.name or told or "the line as it is"


def grid(problem: Problem, parameters: Sequence[Parameter], degree: int = 1) -> list[Design]:
    """Every combination of the levels, the last parameter changing fastest.

    Raises
    ------
    InputError
        When a combination is no problem that can be planned; the first such is told.
    """
    count = prod(len(parameter.levels) for parameter in parameters)
    if count > MOST_DESIGNS:
        raise InputError(
            f"at most {MOST_DESIGNS} combinations",
            value=count,
            way_out="Give fewer values, or the ones wanted as a table of designs.",
        )
    return [
        _design(problem, list(zip(parameters, chosen, strict=True)), degree)
        for chosen in product(*(parameter.levels for parameter in parameters))
    ]


def from_rows(
    problem: Problem, rows: Sequence[Mapping[str, object]], degree: int = 1
) -> list[Design]:
    """A design a row: values by path, and if wanted a ``cost`` and a ``name``.

    Raises
    ------
    InputError
        When a row is no problem that can be planned; the first such is told.
    """
    if not rows:
        raise InputError("at least one design")
    if len(rows) > MOST_DESIGNS:
        raise InputError(f"at most {MOST_DESIGNS} designs", value=len(rows))
    designs = []
    for number, row in enumerate(rows, start=1):
        place = f"design {number}"
        try:
            values = {key: plain_value(row[key], key) for key in row if key not in (COST, NAME)}
            chosen = [
                (Parameter(read_name(key), (Level(value),)), Level(value))
                for key, value in values.items()
            ]
            cost = plain_value(row[COST], COST) if row.get(COST) is not None else None
            if isinstance(cost, str):
                raise InputError("a number", field=COST, value=cost)
            name = _name(row.get(NAME))
            made = _design(problem, chosen, degree, None if cost is None else Decimal(cost), name)
        except InputError as error:
            error.field = f"{place}, {error.field}" if error.field else place
            raise
        designs.append(made)
    return designs


def _name(given: object) -> str:
    name = str(given or "").strip()
    try:
        checked_name(name)
    except ValueError as error:
        raise InputError(str(error), field=NAME, value=name) from None
    if len(name) > MOST_NAME:
        raise InputError(f"text of at most {MOST_NAME} characters", field=NAME, value=name)
    return name


def as_it_is(problem: Problem, degree: int = 1) -> Design:
    """The line of the file itself."""
    return _design(problem, [], degree)


def _design(
    problem: Problem,
    chosen: Sequence[tuple[Parameter, Level]],
    degree: int,
    cost: Decimal | None = None,
    name: str = "",
) -> Design:
    settings = tuple((parameter.name, level.value) for parameter, level in chosen)
    places = [(path, level.value) for parameter, level in chosen for path in parameter.paths]
    data = plain_data(problem)
    for path, value in places:
        if path.parts[0].key == "degree":
            degree = _degree(path, value)
        elif path.parts[0].key not in SPECIAL:
            set_value(data, path, value)
    for path, value in places:  # copies of a station come last, to be like it in all
        _special(data, path, value)
    try:
        changed = Problem.from_data(data) if places else problem
        _plannable(changed, degree)
    except InputError as error:
        if settings:
            told = ", ".join(f"{key} = {written(value)}" for key, value in settings)
            error.field = f"with {told}: {error.field}" if error.field else f"with {told}"
        raise
    costs = [level.cost for _, level in chosen if level.cost is not None]
    if cost is None and costs:
        cost = sum(costs, Decimal(0))
    return Design(settings, changed, degree, cost, name)


def _special(data: Data, path: KeyPath, value: Value) -> None:
    first, alone = path.parts[0], len(path.parts) == 1
    if first.key == "mix" and alone and not first.arguments:
        set_whole_mix(data, path, value)
    elif first.key == "parallel" and alone:
        set_parallel(data, path, value)
    elif first.key == "hoists" and alone:
        set_hoists(data, path, value)
    elif first.key in SPECIAL:
        raise InputError(
            "mix, cycle.mix(RECIPE), hoists or parallel(STATION)",
            field=str(path),
            value=written(value),
        )


def _degree(path: KeyPath, value: Value) -> int:
    if str(path) != "degree" or not isinstance(value, int):
        raise InputError("degree = whole numbers", field=str(path), value=written(value))
    return value


def _plannable(problem: Problem, degree: int) -> None:
    try:
        build_instance(problem, degree, several=True)
    except InfeasibleError:
        return  # an answer, to be given in its place
