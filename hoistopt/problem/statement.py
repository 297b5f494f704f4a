"""The parts of a problem put together, with what is looked up in them; not yet checked."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from decimal import Decimal
from functools import cached_property
from typing import Annotated, Any, ClassVar, Literal

from pydantic import BeforeValidator, Field, PrivateAttr, WrapSerializer

from ..base.errors import InputError
from ..base.names import Label, Name, Remark
from ..base.numbers.duration import SECONDS
from ..base.numbers.time_fields import PositiveTime
from .line import MOST_STATIONS, Carriers, Crossing, Hoist, Station, Track
from .margin import Scattering, StatedMargin
from .part import Part
from .recipe import Cycle, Recipe, Stage
from .times import Times

Unit = Literal["ms", "s", "min", "h"]


MOST_HOISTS = 8


def _hoists(value: object) -> object:
    return value if isinstance(value, list | tuple) else (value,)


def _as_written(value: object, dumped: Any) -> Any:
    """One hoist is a table of its own, several are a list of tables."""
    found = dumped(value)
    return found[0] if len(found) == 1 else found


Hoists = Annotated[
    tuple[Hoist, ...],
    Field(min_length=1, max_length=MOST_HOISTS),
    BeforeValidator(_hoists),
    WrapSerializer(_as_written),
]


class Statement(Part):
    """What a user states: each part sound by itself, whether or not they fit together.

    :class:`~hoistopt.problem.problem.Problem` is a statement whose parts do; the checks
    that see to it take a statement.
    """

    FIRST: ClassVar[tuple[str, ...]] = ("name",)
    CALLED: ClassVar[Mapping[str, str]] = {"hoist": "hoists"}

    name: Name
    note: Remark = ""
    source: Remark = ""
    unit: Unit = "s"
    tick: PositiveTime | None = None
    length_unit: Label = "m"
    hoists: Hoists = Field(default_factory=lambda: (Hoist(),), alias="hoist")
    track: Track | None = None
    stations: tuple[Station, ...] = Field(min_length=2, max_length=MOST_STATIONS, alias="station")
    recipes: tuple[Recipe, ...] = Field(min_length=1, max_length=100, alias="recipe")
    cycle: Cycle = Field(default_factory=Cycle)
    carriers: Carriers = Field(default_factory=Carriers)
    times: Times = Field(default_factory=Times)
    crossings: tuple[Crossing, ...] = Field((), alias="crossing")
    margin: StatedMargin = None
    scatter: Scattering | None = None

    _stated: tuple[Recipe, ...] = PrivateAttr(())
    """The recipes as stated, where tanks are out of service."""

    def to_data(self) -> dict[str, Any]:
        """Plain data that :meth:`hoistopt.Problem.from_data` reads back, defaults left out."""
        data = self.model_dump(by_alias=True, exclude_defaults=True)
        if self._stated:
            data["recipe"] = [
                recipe.model_dump(by_alias=True, exclude_defaults=True) for recipe in self._stated
            ]
        return data

    @property
    def hoist(self) -> Hoist:
        """The hoist of a line with one; an InputError where there are several."""
        self.check_one_hoist()
        return self.hoists[0]

    def check_one_hoist(self, asked: str = "what is asked here") -> None:
        """Refuse a line with several hoists, where a question is about one.

        Parameters
        ----------
        asked : str
            What it is, for the error.

        Raises
        ------
        InputError
            When there are several.
        """
        if len(self.hoists) > 1:
            raise InputError(
                f"a line with one hoist, for {asked}",
                field="hoist",
                value=f"{len(self.hoists)} hoists",
                way_out="Of several hoists it is not known.",
            )

    @cached_property
    def station_by_name(self) -> dict[str, Station]:
        """Stations by name."""
        return {station.name: station for station in self.stations}

    def station_called(self, word: str) -> str:
        """The name of the station with this name, or else with this number on the controller.

        A word that is neither comes back as it is.
        """
        if word in self.station_by_name or not re.fullmatch("[0-9]{1,4}", word):
            return word
        return self._name_by_number.get(int(word), word)

    def source_of(self, recipe: str, stage: int, station: str = "") -> str:
        """Where the window of a stage, counted from 1, comes from; empty where it is not said.

        What the stage says goes before what its station says. Without a station those of the
        stage count, if all that say it say the same.
        """
        stated = self.recipe_by_name[recipe].stages[stage - 1]
        if stated.source:
            return stated.source
        names = (station,) if station else stated.station
        said = {self.station_by_name[name].source for name in names}
        return said.pop() if len(said) == 1 else ""

    @cached_property
    def _name_by_number(self) -> dict[int, str]:
        return {s.number: s.name for s in self.stations if s.number is not None}

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

    @cached_property
    def line_margin(self) -> tuple[Decimal, Decimal]:
        """Slack and float asked of the line where a stage does not say otherwise."""
        asked = self.margin
        if asked is None:
            return Decimal(0), Decimal(0)
        return asked.slack or Decimal(0), asked.float or Decimal(0)

    def margin_of(self, stage: Stage) -> tuple[Decimal, Decimal]:
        """Slack to keep in a stage, and float of the moves that lift loads out of it."""
        slack, late = self.line_margin
        own = stage.margin
        if own is None:
            return slack, late
        return (
            slack if own.slack is None else own.slack,
            late if own.float is None else own.float,
        )

    @cached_property
    def asks_margin(self) -> bool:
        """Whether any margin above 0 is asked for."""
        return any(
            any(self.margin_of(stage)) for recipe in self.recipes for stage in recipe.stages
        ) or any(self.line_margin)

    @property
    def seconds_per_unit(self) -> Decimal:
        """Length of the time unit in seconds."""
        return SECONDS[self.unit]


def stages_of(problem: Statement) -> Iterator[tuple[str, Recipe, int, Stage]]:
    """Every stage with a description of where it stands in the file."""
    for recipe in problem.recipes:
        for number, stage in enumerate(recipe.stages, start=1):
            yield (
                f'recipe "{recipe.name}", stage {number} ("{stage.label}")',
                recipe,
                number,
                stage,
            )
