"""The line itself: stations along a track, the hoist, the carriers."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from ..base.exact import Name, NonNegative, Number, Positive

MOST_STATIONS = 300
MOST_SLOTS = 200


class Strict(BaseModel):
    """Base of all parts of a problem: unknown keys are refused, values do not change."""

    model_config = ConfigDict(extra="forbid", frozen=True)


class Motion(Strict):
    """How the hoist travels: trapezoidal speed profile, then a pause for the swing."""

    speed: Positive = Field(description="Top travel speed, length unit per time unit.")
    acceleration: Positive | None = Field(
        None, description="Acceleration and braking; absent: top speed at once."
    )
    settling: NonNegative = Field(
        0, validate_default=True, description="Time for the swing to die down after travelling."
    )


class Hoist(Strict):
    """The one hoist of the line."""

    lift: NonNegative | None = Field(None, description="Time to lift a carrier out of a station.")
    lower: NonNegative | None = Field(None, description="Time to lower a carrier into a station.")
    loaded: Motion | None = Field(None, description="Travel with a carrier.")
    empty: Motion | None = Field(None, description="Travel without a carrier.")
    payload: Positive | None = Field(None, description="Greatest load mass the hoist may lift.")
    unreachable: tuple[Name, ...] = Field((), description="Stations this hoist cannot serve.")


class Station(Strict):
    """A place on the track.

    `capacity` is the number of carriers held at once. Only load and unload stations
    may be ``"unlimited"``: a buffer in which carriers never wait for a place.
    """

    name: Name
    kind: Literal["tank", "dryer", "load", "unload", "load-unload", "park"] = "tank"
    position: Number | None = Field(None, description="Position along the track.")
    capacity: Annotated[int, Field(ge=1, le=MOST_SLOTS, strict=True)] | Literal["unlimited"] = (
        Field(1, description="Carriers held at once.")
    )
    order: Literal["fifo", "any"] = Field(
        "fifo", description="Whether carriers leave a multi-slot station in order of arrival."
    )
    min_occupation: NonNegative = Field(
        0,
        validate_default=True,
        description="Load and unload stations: least time a carrier stands there.",
    )
    lift: NonNegative | None = Field(None, description="Replaces the hoist's lift time here.")
    lower: NonNegative | None = Field(None, description="Replaces the hoist's lower time here.")
    settling: NonNegative | None = Field(
        None, description="Replaces both settling times for arrivals here."
    )

    @property
    def loads(self) -> bool:
        """Whether carriers enter the line here."""
        return self.kind in ("load", "load-unload")

    @property
    def unloads(self) -> bool:
        """Whether carriers leave the line here."""
        return self.kind in ("unload", "load-unload")


class TableEntry(Strict):
    """One measured or published time; it replaces what the physics would give."""

    from_: Name = Field(alias="from")
    to: Name
    time: NonNegative

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)


class Times(Strict):
    """Tables of times between stations.

    A loaded entry runs from the start of lifting to the end of lowering, without the
    stage's drip, which is added. An empty entry is the travel between two stations.
    """

    loaded: tuple[TableEntry, ...] = ()
    empty: tuple[TableEntry, ...] = ()
    loaded_file: str | None = Field(None, description="CSV matrix, rows from, columns to.")
    empty_file: str | None = Field(None, description="CSV matrix, rows from, columns to.")


class Crossing(Strict):
    """Baths over which a load lifted from certain tanks may not simply be carried.

    Without `min_drip` the hoist never carries such a load across; with it the hoist
    may, once the load has dripped at least that long over its own tank.
    """

    from_: tuple[Name, ...] = Field(alias="from", min_length=1)
    over: tuple[Name, ...] = Field(min_length=1)
    min_drip: NonNegative | None = None

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)


class Carriers(Strict):
    """How many carriers there are and how empty ones get back to the load station.

    ``return = "outside"``: by conveyor or by hand, taking `return_time` after the
    unload station's least occupation. ``return = "hoist"``: the hoist carries the empty
    carrier from the unload to the load station, one more move per load.
    """

    count: int | None = Field(None, ge=1, le=10_000, strict=True)
    return_: Literal["outside", "hoist"] = Field("outside", alias="return")
    return_time: NonNegative = Field(0, validate_default=True)

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True)
