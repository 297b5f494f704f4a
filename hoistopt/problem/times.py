"""Tables of times between stations, measured or published."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Annotated, ClassVar

from pydantic import BeforeValidator, Field

from ..base.names import Name
from ..base.numbers.exact import Numeral
from ..base.numbers.time_fields import Time
from .part import Part


class TableEntry(Part):
    """One measured or published time; it replaces what the physics would give.

    Parameters
    ----------
    from_ : str
        Station the move or travel starts at.
    to : str
        Station the move or travel ends at.
    time : number
        The time, in the problem's unit.

    Examples
    --------
    >>> from hoistopt import TableEntry
    >>> TableEntry("Load", "Etch", 24.5)
    TableEntry('Load', 'Etch', 24.5)
    """

    FIRST: ClassVar[tuple[str, ...]] = ("from_", "to", "time")

    from_: Name = Field(alias="from")
    to: Name
    time: Time

    if TYPE_CHECKING:

        def __init__(self, from_: str, to: str, time: Numeral) -> None: ...


def _by_pair(value: object) -> object:
    """Entries from a mapping by pairs of names, which no file can hold."""
    if not isinstance(value, Mapping) or not all(
        isinstance(pair, tuple) and len(pair) == 2 for pair in value
    ):
        return value
    return tuple(TableEntry(start, end, time) for (start, end), time in value.items())


def _read_before(value: object) -> object:
    if value is not None:
        raise ValueError("no file name here: only load_problem reads tables from other files")
    return value


Entries = Annotated[tuple[TableEntry, ...], BeforeValidator(_by_pair)]
FileName = Annotated[str | None, BeforeValidator(_read_before)]
Table = Iterable[TableEntry] | Mapping[tuple[str, str], Numeral]


class Times(Part):
    """Tables of times between stations.

    In code a table may be a mapping from pairs of names to times; there is no reading of
    other files in code.

    Parameters
    ----------
    loaded : list of TableEntry or mapping, optional
        Start of lifting to end of lowering, without the stage's drip, which is added.
    empty : list of TableEntry or mapping, optional
        Travel without a carrier.
    loaded_file, empty_file : str, optional
        CSV file beside the problem file: a list (columns from, to, time) or a matrix (rows
        from, columns to).

    Examples
    --------
    >>> from hoistopt import Times
    >>> Times(empty={("Load", "Etch"): 13, ("Etch", "Load"): 12.5})
    Times(empty=[TableEntry('Load', 'Etch', 13), TableEntry('Etch', 'Load', 12.5)])
    """

    loaded: Entries = ()
    empty: Entries = ()
    loaded_file: FileName = None
    empty_file: FileName = None

    if TYPE_CHECKING:

        def __init__(self, *, loaded: Table = (), empty: Table = ()) -> None: ...
