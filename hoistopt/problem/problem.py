"""The whole of what the user states."""

from __future__ import annotations

from decimal import Decimal
from functools import cached_property
from typing import Any, Literal

from pydantic import ConfigDict, Field, ValidationError, model_validator

from ..base.exact import Name, Positive
from . import checks
from .line import MOST_STATIONS, Carriers, Crossing, Hoist, Station, Strict, Times
from .recipe import Cycle, Recipe
from .wording import explain_validation

SECONDS = {"ms": Decimal("0.001"), "s": Decimal(1), "min": Decimal(60), "h": Decimal(3600)}


class Problem(Strict):
    """A single-hoist line and what is to run on it.

    Every time is in `unit`. Build one with :meth:`from_data` or
    :func:`hoistopt.load_problem`, which word their errors for the user.
    """

    name: Name
    note: str = Field("", max_length=2000, description="For people: what this line is.")
    source: str = Field("", max_length=2000, description="Where the data come from.")
    unit: Literal["ms", "s", "min", "h"] = Field("s", description="Unit of every time.")
    tick: Positive | None = Field(
        None, description="Grid of all planned times; left out, chosen from the data."
    )
    length_unit: str = Field("m", max_length=20, description="Unit of every position.")
    hoist: Hoist = Field(default_factory=Hoist)
    stations: tuple[Station, ...] = Field(min_length=2, max_length=MOST_STATIONS, alias="station")
    recipes: tuple[Recipe, ...] = Field(min_length=1, max_length=100, alias="recipe")
    cycle: Cycle = Field(default_factory=Cycle)
    carriers: Carriers = Field(default_factory=Carriers)
    times: Times = Field(default_factory=Times)
    crossings: tuple[Crossing, ...] = Field((), alias="crossing")

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)

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
