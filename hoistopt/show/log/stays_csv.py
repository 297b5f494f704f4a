"""Every stay of a log as CSV."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ...base.cells import guarded, note_lines
from ...plant.judging.judge import JudgedLog
from .shown import SECOND
from .tables import STAY_COLUMNS

if TYPE_CHECKING:
    import polars as pl


def stays_csv(found: JudgedLog, cautions: Sequence[str], notes: Sequence[str]) -> str:
    """All stays, a row each, below the cautions, with the columns of the tables of stays.

    Written by the library that reads logs, as there may be a million of them.

    Parameters
    ----------
    found : JudgedLog
    cautions, notes : sequence of str
        What stands above the header.
    """
    import polars as pl

    places = pl.DataFrame(
        {
            "place": range(len(found.stays.places)),
            "number": [place.number for place in found.stays.places],
            "stage": [guarded(place.stage.label) for place in found.stays.places],
            "min": [f"{place.stage.min:f}" for place in found.stays.places],
            "max": [
                None if place.stage.max is None else f"{place.stage.max:f}"
                for place in found.stays.places
            ],
        },
        schema={
            "place": pl.Int32,
            "number": pl.Int32,
            "stage": pl.String,
            "min": pl.String,
            "max": pl.String,
        },
    )
    frame = found.stays.frame.join(places, on="place", how="left", maintain_order="left")
    zone = found.log.zone
    frame = frame.with_columns(
        *[_guarded(frame.get_column(name)) for name in ("carrier", "recipe", "station", "file")],
        *[_moment(name, zone) for name in ("in", "out")],
        *[_length(name, found) for name in ("dwell", "by")],
        near=pl.when("near").then(pl.lit("yes")).otherwise(None),
    )
    head = [f"CAUTION. {text}" for text in cautions]
    head += [f"NOTE. {' '.join(text.split())}" for text in notes if text.strip()]
    unit = found.problem.unit
    header = {name: f"{name}_{unit}" for name in ("dwell", "min", "max", "by")}
    return note_lines(head) + frame.select(STAY_COLUMNS).rename(header).write_csv()


def _guarded(cells: pl.Series) -> pl.Series:
    """Text that no spreadsheet runs."""
    import polars as pl

    words = cells.cast(pl.String).unique().drop_nulls()
    safe = {word: guarded(word) for word in words}
    changed = {word: text for word, text in safe.items() if word != text}
    text = cells.cast(pl.String)
    return text.replace(changed) if changed else text


def _moment(name: str, zone: str | None) -> pl.Expr:
    """As ISO 8601 has it, with the offset where the zone of the line is known."""
    import polars as pl

    time = pl.col(name).cast(pl.Datetime("us"))
    if zone is None:
        return time.dt.strftime("%Y-%m-%dT%H:%M:%S%.6f")
    return (
        time.dt.replace_time_zone("UTC")
        .dt.convert_time_zone(zone)
        .dt.strftime("%Y-%m-%dT%H:%M:%S%.6f%:z")
    )


def _length(name: str, found: JudgedLog) -> pl.Expr:
    """In the problem's unit, with six decimals; exact in seconds and milliseconds."""
    import polars as pl

    unit = int(found.problem.seconds_per_unit * SECOND)
    micro = pl.col(name)
    whole, rest = micro // unit, micro % unit
    # Six decimals of the unit, the nearest where they do not end there.
    decimals = (rest * SECOND + unit // 2) // unit
    carried, decimals = whole + decimals // SECOND, decimals % SECOND
    text = pl.concat_str(
        carried.cast(pl.String), pl.lit("."), decimals.cast(pl.String).str.zfill(6)
    )
    return text.str.strip_chars_end("0").str.strip_chars_end(".").alias(name)
