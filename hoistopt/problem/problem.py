"""The whole of what the user states."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, Literal

from pydantic import Field, ValidationError, model_validator

from ..base.exact import Name, Numeral, Positive
from ..base.files import write_atomically
from ..base.notebook import ShownInNotebook
from . import checks
from .line import MOST_STATIONS, Carriers, Crossing, Hoist, Station
from .part import Part
from .recipe import Cycle, Recipe
from .times import Times
from .wording import explain_validation

SECONDS = {"ms": Decimal("0.001"), "s": Decimal(1), "min": Decimal(60), "h": Decimal(3600)}

Unit = Literal["ms", "s", "min", "h"]


class Problem(Part, ShownInNotebook):
    """A single-hoist line and what is to run on it.

    Every time is in `unit`. Read one from a file with :func:`hoistopt.load_problem`, or
    build it in code. Numbers may be int, float, Decimal, Fraction or text; each is taken
    as the decimal it prints as, exactly, with at most six decimals.

    Parameters
    ----------
    name : str
        Name of the line.
    stations : list of Station
        The places on the track, in any order.
    recipes : list of Recipe
        The kinds of load, each with its stages in order.
    hoist : Hoist, optional
        The one hoist of the line.
    carriers : Carriers, optional
        How many carriers there are and how empty ones get back.
    cycle : Cycle, optional
        How many loads of each recipe one set brings into the line; needed where there
        are several recipes.
    times : Times, optional
        Measured or published times; they replace worked-out ones.
    crossings : list of Crossing, optional
        Baths over which a dripping load may not simply be carried.
    unit : {"ms", "s", "min", "h"}, default "s"
        Unit of every time.
    tick : number, optional
        Grid of all planned times; left out, chosen from the data.
    length_unit : str, default "m"
        Unit of every position; a word for the labels.
    note : str, default ""
        For people: what this line is.
    source : str, default ""
        Where the data come from.

    Raises
    ------
    InputError
        When an argument is missing or makes no sense, or the parts do not fit together:
        the same rules, in the same words, as for a problem file.

    Examples
    --------
    >>> from hoistopt import Hoist, Motion, Problem, Recipe, Stage, Station
    >>> line = Problem(
    ...     "Two baths",
    ...     stations=[
    ...         Station("Bench", kind="load-unload", position=0),
    ...         Station("Wash", position=1.2),
    ...         Station("Rinse", position=2),
    ...     ],
    ...     hoist=Hoist(lift=6, lower=5, loaded=Motion(0.25), empty=Motion(0.4)),
    ...     recipes=[Recipe("Cases", [Stage("Wash", min=90, max=150), Stage("Rinse", min=40)])],
    ... )
    >>> line
    <Problem 'Two baths': 3 stations, 1 recipe, times in s>
    >>> Problem.from_data(line.to_data()) == line
    True
    """

    FIRST: ClassVar[tuple[str, ...]] = ("name",)

    name: Name
    note: str = Field("", max_length=2000)
    source: str = Field("", max_length=2000)
    unit: Unit = "s"
    tick: Positive | None = None
    length_unit: str = Field("m", max_length=20)
    hoist: Hoist = Field(default_factory=Hoist)
    stations: tuple[Station, ...] = Field(min_length=2, max_length=MOST_STATIONS, alias="station")
    recipes: tuple[Recipe, ...] = Field(min_length=1, max_length=100, alias="recipe")
    cycle: Cycle = Field(default_factory=Cycle)
    carriers: Carriers = Field(default_factory=Carriers)
    times: Times = Field(default_factory=Times)
    crossings: tuple[Crossing, ...] = Field((), alias="crossing")

    if TYPE_CHECKING:

        def __init__(
            self,
            name: str,
            *,
            stations: Iterable[Station],
            recipes: Iterable[Recipe],
            hoist: Hoist = Hoist(),  # noqa: B008
            carriers: Carriers = Carriers(),  # noqa: B008
            cycle: Cycle = Cycle(),  # noqa: B008
            times: Times = Times(),  # noqa: B008
            crossings: Iterable[Crossing] = (),
            unit: Unit = "s",
            tick: Numeral | None = None,
            length_unit: str = "m",
            note: str = "",
            source: str = "",
        ) -> None: ...

    @model_validator(mode="after")
    def _consistent(self) -> Problem:
        for check in checks.ALL:
            check(self)
        return self

    @classmethod
    def from_data(cls, data: dict[str, Any]) -> Problem:
        """Check plain data, as read from TOML, and build the problem.

        Raises
        ------
        InputError
            One error for the first thing that is wrong.
        """
        try:
            # Only the names of the file: what the JSON Schema refuses is refused here too.
            return cls.model_validate(data, by_alias=True, by_name=False)
        except ValidationError as error:
            raise explain_validation(error, data) from None

    def to_data(self) -> dict[str, Any]:
        """Plain data that :meth:`from_data` reads back, defaults left out."""
        return self.model_dump(by_alias=True, exclude_defaults=True)

    def to_toml(self) -> str:
        """The text of a problem file that :func:`hoistopt.load_problem` reads back equal."""
        from .toml_text import toml_text

        return toml_text(self.to_data())

    def save(self, path: str | Path) -> None:
        """Write a problem file, whole or not at all.

        Parameters
        ----------
        path : str or Path
            The TOML file to write; one that is there is replaced, its comments included.

        Raises
        ------
        InputError
            When the file cannot be written.
        """
        write_atomically(path, self.to_toml())

    def __repr__(self) -> str:
        stations, recipes = len(self.stations), len(self.recipes)
        kinds = f"{recipes} recipe{'s' * (recipes != 1)}"
        return f"<Problem {self.name!r}: {stations} stations, {kinds}, times in {self.unit}>"

    @cached_property
    def station_by_name(self) -> dict[str, Station]:
        """Stations by name."""
        return {station.name: station for station in self.stations}

    @cached_property
    def recipe_by_name(self) -> dict[str, Recipe]:
        """Recipes by name."""
        return {recipe.name: recipe for recipe in self.recipes}

    @cached_property
    def loaded_times(self) -> dict[tuple[str, str], Decimal]:
        """Table entries for loaded moves, by (from, to)."""
        return {(entry.from_, entry.to): entry.time for entry in self.times.loaded}

    @cached_property
    def empty_times(self) -> dict[tuple[str, str], Decimal]:
        """Table entries for empty travel, by (from, to)."""
        return {(entry.from_, entry.to): entry.time for entry in self.times.empty}

    def load_station(self, recipe: Recipe) -> Station:
        """The station where loads of `recipe` enter."""
        if recipe.load is not None:
            return self.station_by_name[recipe.load]
        return next(station for station in self.stations if station.loads)

    def unload_station(self, recipe: Recipe) -> Station:
        """The station where loads of `recipe` leave."""
        if recipe.unload is not None:
            return self.station_by_name[recipe.unload]
        return next(station for station in self.stations if station.unloads)

    @cached_property
    def load_set(self) -> tuple[str, ...]:
        """The recipes of one set of loads; in entering order where that is given."""
        if self.cycle.order is not None:
            return self.cycle.order
        mix = self.cycle.mix or {recipe.name: 1 for recipe in self.recipes}
        return tuple(name for name, count in mix.items() for _ in range(count))

    @property
    def seconds_per_unit(self) -> Decimal:
        """Length of the time unit in seconds."""
        return SECONDS[self.unit]
