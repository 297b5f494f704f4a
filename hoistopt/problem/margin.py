"""Margin asked for, and how the hoist's times scatter: what the user wants a schedule to bear."""

from __future__ import annotations

from collections.abc import Iterable
from decimal import Decimal
from functools import cached_property
from typing import TYPE_CHECKING, Annotated, Any

from pydantic import AfterValidator, BeforeValidator, Field, field_validator

from ..base.errors import InputError
from ..base.names import Remark
from ..base.numbers.duration import duration
from ..base.numbers.exact import NonNegative, Numeral
from ..base.numbers.time_fields import Time
from .part import Part
from .scatter import Scatter, read_scatter


class Margin(Part):
    """How late a start may be without harm: asked of every schedule.

    Of a line it holds for every stage and every move; of a stage for that stage and for the
    moves that lift loads out of it, in place of the line's. A plain number in a file means
    both slack and float.

    Parameters
    ----------
    slack : number, optional
        How late a start may be once: what every dwell keeps below its maximum. Absent: the
        line's; of the line: 0.
    float : number, optional
        How late a start may be in every cycle while all others are on time. Absent: the
        line's; of the line: 0.

    Examples
    --------
    >>> from hoistopt import Margin
    >>> Margin(slack=5, float=2)
    Margin(slack=5, float=2)
    """

    slack: Time | None = None
    float: Time | None = None

    if TYPE_CHECKING:

        def __init__(
            self, *, slack: Numeral | None = None, float: Numeral | None = None
        ) -> None: ...


_MARGIN = "a time of at least 0, or a table with slack and float"


def _both(value: object) -> object:
    """A plain number means as much slack as float."""
    if isinstance(value, bool) or not isinstance(
        value, dict | Margin | int | float | Decimal | str | None
    ):
        raise ValueError(_MARGIN)
    if isinstance(value, str):
        # Read here, for an error inside would name a key that the user never wrote.
        try:
            duration(value)
        except ValueError as error:
            raise ValueError(f"{_MARGIN} ({error})") from None
    if value is None or isinstance(value, dict | Margin):
        return value
    return {"slack": value, "float": value}


def _asked(margin: Margin | None) -> Margin | None:
    """None for a margin that states nothing, as where none is stated."""
    return None if margin == Margin() else margin


StatedMargin = Annotated[Annotated[Margin, BeforeValidator(_both)] | None, AfterValidator(_asked)]
"""A margin as a user states it: a number, or slack and float."""


def _listed(value: object) -> object:
    return (value,) if isinstance(value, str | Scatter) else value


class Scattering(Part):
    """How the hoist's times scatter, and how many loads may stand too long for it.

    Parameters
    ----------
    times : str or list of str
        What scatters, in the words that ``hoistopt jitter`` takes, such as
        ``"move times triangular 0.97 1 1.15"``.
    tolerated : number, default 0
        Share of loads, from 0 to 1, that may stand longer than a maximum. Up to one in ten
        thousand counts as none: fewer cannot be told from none by simulation.
    source : str, default ""
        Where the figures come from.

    Examples
    --------
    >>> from hoistopt import Scattering
    >>> Scattering("move times triangular 0.97 1 1.15").tolerated
    Decimal('0')
    """

    FIRST = ("times",)

    times: Annotated[tuple[str, ...], BeforeValidator(_listed)] = Field(min_length=1, max_length=20)
    tolerated: NonNegative = Field(0, validate_default=True)
    source: Remark = ""

    if TYPE_CHECKING:

        def __init__(
            self, times: str | Iterable[str], *, tolerated: Numeral = 0, source: str = ""
        ) -> None: ...

    @field_validator("times")
    @classmethod
    def _readable(cls, value: tuple[str, ...]) -> tuple[str, ...]:
        for text in value:
            try:
                read_scatter(text)
            except InputError as error:
                told = ". ".join(filter(None, [error.expected, error.way_out]))
                raise ValueError(told) from None
        return value

    @field_validator("tolerated")
    @classmethod
    def _a_share(cls, value: Decimal) -> Decimal:
        if value > 1:
            raise ValueError("a share from 0 to 1, such as 0.01 for one load in a hundred")
        return value

    @cached_property
    def scatters(self) -> tuple[Scatter, ...]:
        """The scatters, read."""
        return tuple(read_scatter(text) for text in self.times)

    def __repr_args__(self) -> Iterable[tuple[str | None, Any]]:
        for name, value in super().__repr_args__():
            yield name, self.times[0] if name is None and len(self.times) == 1 else value


ASSUMED = Scattering(
    "move times triangular 0.97 1 1.15",
    source="Assumed, for want of a [scatter] table in the problem file: invented, no source.",
)
"""The scatter by which schedules are judged where the file states none; an invented one."""
