"""Recipes: the ordered stages a load goes through, and how many of each enter per cycle."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator, ConfigDict, Field

from ..base.exact import Name, NonNegative, Positive
from .line import Strict

MOST_STAGES = 300


def _as_tuple(value: object) -> object:
    return (value,) if isinstance(value, str) else value


class Stage(Strict):
    """One stage: where, how long at least and at most, and the drip after lifting."""

    name: Name | None = Field(None, description="Defaults to the first station's name.")
    station: Annotated[tuple[Name, ...], BeforeValidator(_as_tuple)] = Field(
        min_length=1, description="The station, or a list of stations any of which may serve."
    )
    min: NonNegative = Field(description="Least dwell time.")
    max: NonNegative | None = Field(None, description="Greatest dwell time; absent: none.")
    nominal: NonNegative | None = Field(
        None, description="Dwell time aimed at where the cycle leaves a choice; absent: none."
    )
    drip: NonNegative = Field(
        0, validate_default=True, description="Pause over the tank after lifting."
    )

    @property
    def label(self) -> str:
        """The stage's name, or its first station's."""
        return self.name or self.station[0]


class Recipe(Strict):
    """The ordered stages of one kind of load, from a load to an unload station."""

    name: Name
    load: Name | None = Field(None, description="Load station; may be left out if there is one.")
    unload: Name | None = Field(
        None, description="Unload station; may be left out if there is one."
    )
    mass: Positive | None = Field(None, description="Mass the hoist lifts, carrier included.")
    stages: tuple[Stage, ...] = Field(min_length=1, alias="stage")

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)


class Cycle(Strict):
    """How many loads of each recipe one set brings into the line.

    A cycle of degree k carries k such sets. `order` fixes the order in which the loads
    of one set enter; left out, the solver chooses it. `min` and `max` bound the mean cycle
    time per set, for a line that must keep pace with what stands before or after it.
    """

    mix: dict[Name, Annotated[int, Field(ge=1, le=100, strict=True)]] | None = None
    order: tuple[Name, ...] | None = Field(None, min_length=1, max_length=200)
    min: NonNegative = Field(
        0, validate_default=True, description="Least mean cycle time per set of loads."
    )
    max: Positive | None = Field(
        None, description="Greatest mean cycle time per set of loads; absent: none."
    )
