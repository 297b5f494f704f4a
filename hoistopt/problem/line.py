"""The line itself: stations along a track, the hoist, the carriers."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING, Annotated, ClassVar, Literal

from pydantic import BeforeValidator, Field

from ..base.names import Name, SourceNote
from ..base.numbers.exact import Number, Numeral, Positive
from ..base.numbers.time_fields import Time
from .part import Part

MOST_STATIONS = 300
MOST_SLOTS = 200
LARGEST_NUMBER = 9999

Kind = Literal["tank", "dryer", "load", "unload", "load-unload", "park"]


class Motion(Part):
    """How the hoist travels: trapezoidal speed profile, then a pause for the swing.

    Parameters
    ----------
    speed : number
        Top travel speed, length unit per time unit.
    acceleration : number, optional
        Acceleration and braking; absent: top speed at once.
    settling : number, default 0
        Time for the swing to die down after travelling.

    Examples
    --------
    >>> from hoistopt import Motion
    >>> Motion(0.5, acceleration=0.3, settling=2)
    Motion(0.5, acceleration=0.3, settling=2)
    """

    FIRST: ClassVar[tuple[str, ...]] = ("speed",)

    speed: Positive
    acceleration: Positive | None = None
    settling: Time = Field(0, validate_default=True)

    if TYPE_CHECKING:

        def __init__(
            self, speed: Numeral, *, acceleration: Numeral | None = None, settling: Numeral = 0
        ) -> None: ...


class Hoist(Part):
    """A hoist of the line, mostly the only one.

    Parameters
    ----------
    name : str, optional
        Its name; needed where there are several.
    from_, to : number or str, optional
        Ends of the part of the track that it may be in, as positions or stations; absent:
        as far as the other hoists leave it room.
    lift : number, optional
        Time to lift a carrier out of a station.
    lower : number, optional
        Time to lower a carrier into a station.
    loaded : Motion, optional
        Travel with a carrier.
    empty : Motion, optional
        Travel without a carrier.
    payload : number, optional
        Maximum load mass the hoist may lift.
    unreachable : list of str, optional
        Stations this hoist cannot serve.

    Examples
    --------
    >>> from hoistopt import Hoist, Motion
    >>> Hoist(lift=9, lower=8, loaded=Motion(0.5), empty=Motion(0.8))
    Hoist(lift=9, lower=8, loaded=Motion(0.5), empty=Motion(0.8))
    """

    name: Name | None = None
    from_: Number | Name | None = Field(None, alias="from")
    to: Number | Name | None = None
    lift: Time | None = None
    lower: Time | None = None
    loaded: Motion | None = None
    empty: Motion | None = None
    payload: Positive | None = None
    unreachable: tuple[Name, ...] = ()

    if TYPE_CHECKING:

        def __init__(
            self,
            *,
            name: str | None = None,
            from_: Numeral | str | None = None,
            to: Numeral | str | None = None,
            lift: Numeral | None = None,
            lower: Numeral | None = None,
            loaded: Motion | None = None,
            empty: Motion | None = None,
            payload: Numeral | None = None,
            unreachable: Iterable[str] = (),
        ) -> None: ...


class Track(Part):
    """The track that several hoists share.

    Parameters
    ----------
    clearance : number
        Least distance between the middles of two neighbouring hoists.
    from_, to : number, optional
        Ends of the track for the middle of a hoist; absent: the outermost stations.

    Examples
    --------
    >>> from hoistopt import Track
    >>> Track(1.5, to=24)
    Track(1.5, to=24)
    """

    FIRST: ClassVar[tuple[str, ...]] = ("clearance",)

    clearance: Positive
    from_: Number | None = Field(None, alias="from")
    to: Number | None = None

    if TYPE_CHECKING:

        def __init__(
            self,
            clearance: Numeral,
            *,
            from_: Numeral | None = None,
            to: Numeral | None = None,
        ) -> None: ...


def _places(value: object) -> object:
    counted = isinstance(value, int) and not isinstance(value, bool) and 1 <= value <= MOST_SLOTS
    if not counted and value != "unlimited":
        raise ValueError(f'a whole number from 1 to {MOST_SLOTS}, or "unlimited"')
    return value


class Station(Part):
    """A place on the track.

    Parameters
    ----------
    name : str
        Name of the station; each one once.
    kind : {"tank", "dryer", "load", "unload", "load-unload", "park"}, default "tank"
        What the station is; a park is never part of a recipe.
    position : number, optional
        Position along the track.
    capacity : int or "unlimited", default 1
        Carriers held at once. Only load and unload stations may be "unlimited": a buffer
        in which carriers never wait for a place.
    order : {"fifo", "any"}, default "fifo"
        Whether carriers leave a multi-slot station in order of arrival.
    min_occupation : number, default 0
        Load and unload stations: minimum time a carrier stands there.
    min_rest : number, default 0
        Tanks and dryers: minimum time that a place stays empty, from the start of lifting a
        carrier until the next is set down there, for a bath to get back its temperature.
    lift : number, optional
        Replaces the hoist's lift time here.
    lower : number, optional
        Replaces the hoist's lower time here.
    settling : number, optional
        Replaces both settling times for arrivals here.
    number : int, optional
        Its number on the controller, by which tables of moves and states may name it; each
        one once.
    out_of_service : bool, default False
        Whether no load is set down here for now, as while a tank is emptied or mended; its
        stages need another. Tanks and dryers only.
    source : str, default ""
        Where the windows of its stages come from, such as a data sheet.

    Examples
    --------
    >>> from hoistopt import Station
    >>> Station("Rinse 1", position="3.20")
    Station('Rinse 1', position=3.2)
    """

    FIRST: ClassVar[tuple[str, ...]] = ("name",)

    name: Name
    kind: Kind = "tank"
    position: Number | None = None
    capacity: Annotated[
        Annotated[int, Field(ge=1, le=MOST_SLOTS, strict=True)] | Literal["unlimited"],
        BeforeValidator(_places),
    ] = 1
    order: Literal["fifo", "any"] = "fifo"
    min_occupation: Time = Field(0, validate_default=True)
    min_rest: Time = Field(0, validate_default=True)
    lift: Time | None = None
    lower: Time | None = None
    settling: Time | None = None
    number: int | None = Field(None, ge=0, le=LARGEST_NUMBER, strict=True)
    out_of_service: bool = Field(False, strict=True)
    source: SourceNote = ""

    if TYPE_CHECKING:

        def __init__(
            self,
            name: str,
            *,
            kind: Kind = "tank",
            position: Numeral | None = None,
            capacity: int | Literal["unlimited"] = 1,
            order: Literal["fifo", "any"] = "fifo",
            min_occupation: Numeral = 0,
            min_rest: Numeral = 0,
            lift: Numeral | None = None,
            lower: Numeral | None = None,
            settling: Numeral | None = None,
            number: int | None = None,
            out_of_service: bool = False,
            source: str = "",
        ) -> None: ...

    @property
    def loads(self) -> bool:
        """Whether carriers enter the line here."""
        return self.kind in ("load", "load-unload")

    @property
    def unloads(self) -> bool:
        """Whether carriers leave the line here."""
        return self.kind in ("unload", "load-unload")


class Crossing(Part):
    """Baths over which a load lifted from certain tanks may not simply be carried.

    Without `min_drip` the hoist never carries such a load across; with it the hoist
    may, once the load has dripped at least that long over its own tank.

    Parameters
    ----------
    from_ : list of str
        Stations the load was lifted from.
    over : list of str
        Stations it would pass over on its way.
    min_drip : number, optional
        Drip after which passing is allowed; absent: never.

    Examples
    --------
    >>> from hoistopt import Crossing
    >>> Crossing(["Etch"], over=["Seal"], min_drip=15)
    Crossing(['Etch'], ['Seal'], min_drip=15)
    """

    FIRST: ClassVar[tuple[str, ...]] = ("from_", "over")

    from_: tuple[Name, ...] = Field(alias="from", min_length=1)
    over: tuple[Name, ...] = Field(min_length=1)
    min_drip: Time | None = None

    if TYPE_CHECKING:

        def __init__(
            self, from_: Iterable[str], over: Iterable[str], *, min_drip: Numeral | None = None
        ) -> None: ...


class Carriers(Part):
    """How many carriers there are and how empty ones get back to the load station.

    Parameters
    ----------
    count : int, optional
        Carriers that circulate; absent: as many as it takes.
    return_ : {"outside", "hoist"}, default "outside"
        Whether empty carriers return outside the line, by conveyor or by hand, or the
        hoist carries them from the unload to the load station, one more move per load.
    return_time : number, default 0
        Time of the way back outside the line, after the unload station's minimum occupation.

    Examples
    --------
    >>> from hoistopt import Carriers
    >>> Carriers(count=9, return_time=90)
    Carriers(count=9, return_time=90)
    """

    count: int | None = Field(None, ge=1, le=10_000, strict=True)
    return_: Literal["outside", "hoist"] = Field("outside", alias="return")
    return_time: Time = Field(0, validate_default=True)

    if TYPE_CHECKING:

        def __init__(
            self,
            *,
            count: int | None = None,
            return_: Literal["outside", "hoist"] = "outside",
            return_time: Numeral = 0,
        ) -> None: ...
