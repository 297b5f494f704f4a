"""Recipes: the ordered stages a load goes through, and how many of each enter per cycle."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, Literal

from pydantic import BeforeValidator, Field, ValidationInfo, model_validator

from ..base.errors import InputError
from ..base.names import Name, SourceNote
from ..base.numbers.exact import Numeral, Positive
from ..base.numbers.rate import Rate, pace
from ..base.numbers.time_fields import InFile, Pace, PositivePace, Time
from ..base.text import any_of
from .margin import Margin, StatedMargin
from .part import Part

MOST_STAGES = 300


def _as_tuple(value: object) -> object:
    return (value,) if isinstance(value, str) else value


class Stage(Part):
    """One stage: where, how long at least and at most, and the drip after lifting.

    Loading and unloading are not stages.

    Parameters
    ----------
    station : str or list of str
        The station, or a list of stations any of which may serve.
    min : number
        Minimum dwell time.
    max : number, optional
        Maximum dwell time; absent: none. Equal to `min` for a fixed time, which is kept to
        within a tick.
    nominal : number, optional
        Dwell time aimed at where the cycle leaves a choice; absent: none.
    may_give_min : number, optional
        By how much less than `min` would still do, at need; 0: not at all; absent: not said.
    may_give_max : number, optional
        By how much more than `max` would still do, at need; 0: not at all; absent: not said.
    margin : Margin, optional
        Slack kept below `max`, and float of the moves that lift loads out of here, in place
        of the line's.
    drip : number, default 0
        Pause over the tank after lifting.
    hoist : str or list of str, optional
        Of several hoists the one that brings loads here, or those any of which may; absent:
        any that can.
    source : str, default ""
        Where its window comes from, such as a data sheet; shown beside it.
    name : str, optional
        Name of the stage; absent: that of its station, of several all of them in few words.

    Examples
    --------
    >>> from hoistopt import Stage
    >>> Stage("Rinse 1", min=20, max=40)
    Stage('Rinse 1', min=20, max=40)
    >>> Stage(["Nickel 1", "Nickel 2"], min=600, drip=6, name="Nickel").label
    'Nickel'
    """

    FIRST: ClassVar[tuple[str, ...]] = ("station",)

    name: Name | None = None
    station: Annotated[tuple[Name, ...], BeforeValidator(_as_tuple)] = Field(min_length=1)
    min: Time
    max: Time | None = None
    nominal: Time | None = None
    may_give_min: Time | None = None
    may_give_max: Time | None = None
    margin: StatedMargin = None
    drip: Time = Field(0, validate_default=True)
    source: SourceNote = ""
    hoist: Annotated[tuple[Name, ...] | None, BeforeValidator(_as_tuple)] = Field(
        None, min_length=1
    )

    if TYPE_CHECKING:

        def __init__(
            self,
            station: str | Iterable[str],
            *,
            min: Numeral,
            max: Numeral | None = None,
            nominal: Numeral | None = None,
            may_give_min: Numeral | None = None,
            may_give_max: Numeral | None = None,
            margin: Margin | Numeral | None = None,
            drip: Numeral = 0,
            source: str = "",
            hoist: str | Iterable[str] | None = None,
            name: str | None = None,
        ) -> None: ...

    @property
    def label(self) -> str:
        """The stage's name, or that of its station; of several, all of them in few words."""
        return self.name or any_of(self.station)

    def __repr_args__(self) -> Iterable[tuple[str | None, Any]]:
        alone = len(self.station) == 1
        for name, value in super().__repr_args__():
            yield name, self.station[0] if name is None and alone else value


class Recipe(Part):
    """The ordered stages of one kind of load, from a load to an unload station.

    Parameters
    ----------
    name : str
        Name of the recipe; each one once.
    stages : list of Stage
        The stages in order; loading and unloading are not among them.
    load : str, optional
        Load station; may be left out if there is one.
    unload : str, optional
        Unload station; may be left out if there is one.
    mass : number, optional
        Mass the hoist lifts, carrier included.

    Examples
    --------
    >>> from hoistopt import Recipe, Stage
    >>> Recipe("Standard", [Stage("Etch", min=75, max=95), Stage("Rinse 1", min=20)])
    Recipe('Standard', [Stage('Etch', min=75, max=95), Stage('Rinse 1', min=20)])
    """

    FIRST: ClassVar[tuple[str, ...]] = ("name", "stages")

    name: Name
    load: Name | None = None
    unload: Name | None = None
    mass: Positive | None = None
    stages: tuple[Stage, ...] = Field(min_length=1, alias="stage")

    if TYPE_CHECKING:

        def __init__(
            self,
            name: str,
            stages: Iterable[Stage],
            *,
            load: str | None = None,
            unload: str | None = None,
            mass: Numeral | None = None,
        ) -> None: ...


class Cycle(Part):
    """How many loads of each recipe one set brings into the line.

    A cycle of degree k carries k such sets. The mean cycle time per set may be bounded,
    for a line that must keep pace with what stands before or after it; in a file also by a
    rate in loads, such as ``max = "4.5/h"`` for at least so many an hour.

    Parameters
    ----------
    mix : mapping of str to int, optional
        Loads of each recipe in one set.
    order : list of str, optional
        Order in which the loads of a set enter; absent: chosen by the solver.
    min : number, default 0
        Minimum mean cycle time per set of loads.
    max : number, optional
        Maximum mean cycle time per set of loads; absent: none.

    Examples
    --------
    >>> from hoistopt import Cycle
    >>> Cycle(mix={"Plain": 2, "Black": 1}, min=300)
    Cycle(mix={'Plain': 2, 'Black': 1}, min=300)
    """

    mix: dict[Name, Annotated[int, Field(ge=1, le=100, strict=True)]] | None = None
    order: tuple[Name, ...] | None = Field(None, min_length=1, max_length=200)
    min: Pace = Field(0, validate_default=True)
    max: PositivePace | None = None

    if TYPE_CHECKING:

        def __init__(
            self,
            *,
            mix: Mapping[str, int] | None = None,
            order: Iterable[str] | None = None,
            min: Numeral = 0,
            max: Numeral | None = None,
        ) -> None: ...

    @model_validator(mode="before")
    @classmethod
    def _rates(cls, data: object, info: ValidationInfo) -> object:
        """Turn rates into times per set, here where the loads of a set are known."""
        if not isinstance(data, dict) or not isinstance(info.context, InFile):
            return data
        found = dict(data)
        towards: Literal["up", "down"]
        for key, towards in (("min", "up"), ("max", "down")):
            value = data.get(key)
            if not isinstance(value, str):
                continue
            try:
                given = pace(value)
                if isinstance(given, Rate):
                    found[key] = given.time_of(_loads(data), info.context.known_unit, towards)
            except ValueError as error:
                field = f"cycle, {key}"
                raise InputError(str(error), field=field, value=f'"{value}"') from None
        return found


def _loads(data: Mapping[str, Any]) -> int:
    """Loads in a set; 1 where what is stated is no set, which is refused soon after."""
    mix, order = data.get("mix"), data.get("order")
    if isinstance(mix, dict) and all(type(count) is int and count > 0 for count in mix.values()):
        return sum(mix.values()) or 1
    return len(order) or 1 if isinstance(order, list) else 1
