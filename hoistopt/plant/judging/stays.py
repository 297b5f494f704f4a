"""Stays of loads in stages, each judged against its window."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from math import ceil, floor
from typing import TYPE_CHECKING, Literal

from ...base.numbers.shares import LEAST_GROUPS
from ...problem import Problem, Stage
from ..faults import Fault, Faults
from ..visits import Visits
from ..ways import Place, Way, Ways

if TYPE_CHECKING:
    import polars as pl

SECOND = 1_000_000
"""Microseconds."""
ALIKE = {"hour": 3600 * SECOND, "day": 86_400 * SECOND}
VERDICTS = ("within", "under", "over", "not judged")
UNSEEN = ("when it was set down is not in the log", "when it was lifted is not in the log")
CLOCK = "the clock was set back while it stood"
DOUBT = "several stood there, and which was lifted is not in the log"
UNTIMED = "the time of an event there meanwhile could not be read"
MOST_WAYS = 3000
"""Different ways of loads that are fitted to the recipes, the most frequent first."""
_BETWEEN = "\x1f"


@dataclass(frozen=True)
class Stays:
    """Every stay of a load in a tank.

    Attributes
    ----------
    frame : polars.DataFrame
        A row a stay, in the order in which they ended or were last seen: `load`, `carrier`,
        `recipe`, `place` (an index into `places`, null where unknown), `station`, `in` and
        `out` (microseconds UTC, null where not seen), `dwell`, `verdict` (one of `VERDICTS`),
        `by` (microseconds under the minimum or over the maximum, else null), `why` (it is not
        judged), `near` (whether the other verdict is possible, as times in the log are coarse),
        `in_line`, `out_line`, `file`.
    places : list of Place
        Stages that loads were in.
    resolution : int
        Of the log's times: the greatest usual step of which all are multiples, in microseconds.
    faults : Faults
        Loads whose way does not fit.
    """

    frame: pl.DataFrame
    places: list[Place]
    resolution: int
    faults: Faults

    @cached_property
    def alike(self) -> Literal["day", "hour"]:
        """How long loads fare alike, for what a share is worth: an hour in a short log."""
        ends = self.frame.get_column("out").drop_nulls()
        span = 0 if not len(ends) else int(str(ends.max())) - int(str(ends.min()))
        return "day" if span >= LEAST_GROUPS * ALIKE["day"] else "hour"


def window(stage: Stage, problem: Problem) -> tuple[int, int | None]:
    """The window of a stage in whole microseconds: the least dwell that is long enough, and the
    greatest that is not too long, or None."""
    scale = Fraction(problem.seconds_per_unit) * SECOND

    def exact(value: Decimal) -> Fraction:
        return Fraction(value) * scale

    return ceil(exact(stage.min)), None if stage.max is None else floor(exact(stage.max))


def stays_of(visits: Visits, problem: Problem, untimed: pl.DataFrame | None = None) -> Stays:
    """Find the stage of each visit by the way of its load, and judge how long it was.

    Parameters
    ----------
    visits : Visits
    problem : Problem
    untimed : polars.DataFrame, optional
        Events whose time could not be read, as in :class:`hoistopt.plant.events.EventLog`. A
        stay with one of them at its tank in between may have been two: it is not judged.
    """
    import polars as pl

    ends = [station.name for station in problem.stations if station.loads or station.unloads]
    frame = visits.frame.with_columns(at=pl.int_range(pl.len()).over("load"))
    frame, places, faults = _with_places(frame, problem)
    frame = frame.filter(~pl.col("station").cast(pl.String).is_in(ends))
    limits = [window(place.stage, problem) for place in places]
    bounds = pl.DataFrame(
        {
            "place": range(len(places)),
            "least": [least for least, _ in limits],
            "most": [most for _, most in limits],
        },
        schema={"place": pl.Int32, "least": pl.Int64, "most": pl.Int64},
    )
    frame = frame.join(bounds, on="place", how="left", maintain_order="left")
    resolution = resolution_of(frame)
    frame = _with_untimed(frame, untimed)
    frame = frame.with_columns(why=_why_not(), dwell=pl.col("out") - pl.col("in"))
    frame = frame.with_columns(
        dwell=pl.when("steady").then("dwell"),
        verdict=pl.when(pl.col("why").is_not_null())
        .then(pl.lit("not judged"))
        .when(pl.col("dwell") < pl.col("least"))
        .then(pl.lit("under"))
        .when((pl.col("dwell") > pl.col("most")).fill_null(False))
        .then(pl.lit("over"))
        .otherwise(pl.lit("within"))
        .cast(pl.Enum(VERDICTS)),
    )
    step = resolution if resolution > 1 else 0
    at_least = (pl.col("dwell") - pl.col("least")).is_between(-step, step, closed="none")
    at_most = (pl.col("dwell") - pl.col("most")).is_between(-step, step, closed="none")
    judged = pl.col("verdict") != "not judged"
    frame = frame.with_columns(
        by=pl.when(pl.col("verdict") == "under")
        .then(pl.col("least") - pl.col("dwell"))
        .when(pl.col("verdict") == "over")
        .then(pl.col("dwell") - pl.col("most")),
        near=judged & (at_least.fill_null(False) | at_most.fill_null(False)),
    )
    frame = frame.sort(pl.coalesce("out", "in"), maintain_order=True)
    return Stays(
        frame.select(
            "load", "carrier", "recipe", "place", "station", "in", "out", "dwell", "verdict", "by",
            "why", "near", "in_line", "out_line", "file",
        ),
        places,
        resolution,
        faults,
    )  # fmt: skip


def _why_not() -> pl.Expr:
    """Why a stay is not judged, or null."""
    import polars as pl

    return (
        pl.when(pl.col("reason").is_not_null())
        .then("reason")
        .when(pl.col("in").is_null())
        .then(pl.lit(UNSEEN[0]))
        .when(pl.col("out").is_null())
        .then(pl.lit(UNSEEN[1]))
        .when(~pl.col("steady"))
        .then(pl.lit(CLOCK))
        .when("doubt")
        .then(pl.lit(DOUBT))
        .when(pl.col("untimed") < pl.col("out_line"))
        .then(pl.lit(UNTIMED))
        .otherwise(None)
    )


def _with_untimed(frame: pl.DataFrame, untimed: pl.DataFrame | None) -> pl.DataFrame:
    """Stays with the line of the next event at their tank whose time could not be read, or null."""
    import polars as pl

    if untimed is None or not len(untimed):
        return frame.with_columns(untimed=pl.lit(None, pl.UInt32))
    frame = frame.with_columns(
        _row=pl.int_range(pl.len()), _file=pl.col("file").cast(pl.String),
        _at=pl.col("station").cast(pl.String),
    )  # fmt: skip
    lines = untimed.select(
        untimed=pl.col("line").cast(frame.schema["in_line"]), _file="file", _at="station"
    ).sort("untimed")
    known = frame.filter(pl.col("in_line").is_not_null()).sort("in_line")
    found = known.join_asof(
        lines, left_on="in_line", right_on="untimed", by=["_file", "_at"], strategy="forward",
        coalesce=False, check_sortedness=False,
    )  # fmt: skip
    frame = frame.join(
        found.select("_row", "untimed"), on="_row", how="left", maintain_order="left"
    )
    return frame.drop("_row", "_file", "_at")


def resolution_of(frame: pl.DataFrame) -> int:
    """The greatest usual step of time of which all times are multiples, in microseconds."""
    import polars as pl

    for step in (60 * SECOND, SECOND, 100_000, 10_000, 1_000, 100, 10):
        odd = frame.select(
            ((pl.col("in") % step != 0).any() | (pl.col("out") % step != 0).any()).alias("odd")
        ).item()
        if not odd:
            return step
    return 1


def _with_places(frame: pl.DataFrame, problem: Problem) -> tuple[pl.DataFrame, list[Place], Faults]:
    """Visits with their `place` or the `reason` why it is not known, and their `recipe`."""
    import polars as pl

    loads = frame.group_by("load", maintain_order=True).agg(
        way=pl.col("station").cast(pl.String).str.join(_BETWEEN),
        told=pl.col("recipe").cast(pl.String).drop_nulls().first(),
    )
    kinds = (
        loads.group_by("way", "told")
        .len()
        .sort("len", "way", "told", descending=[True, False, False])
    )
    kinds = kinds.with_row_index("kind")
    fitted = _fitted(kinds.select("way", "told").rows(), problem)
    rows, places, reasons = _spelled_out(fitted)
    loads = loads.join(
        kinds.select("way", "told", "kind"), on=["way", "told"], how="left", nulls_equal=True
    ).select("load", "kind")
    frame = frame.drop("recipe").join(loads, on="load", how="left", maintain_order="left")
    frame = frame.join(rows, on=["kind", "at"], how="left", maintain_order="left")
    texts = pl.DataFrame(
        {"why_not": range(len(reasons)), "reason": reasons},
        schema={"why_not": pl.Int32, "reason": pl.String},
    )
    frame = frame.join(texts, on="why_not", how="left", maintain_order="left")
    odd = [n for n, way in enumerate(fitted) if way.left_out or way.extra or way.recipe is None]
    return frame, places, _odd_ways(frame.filter(pl.col("kind").is_in(odd)), fitted, problem)


def _fitted(ways: Sequence[tuple[str, str | None]], problem: Problem) -> list[Way]:
    """Each way fitted; those that are beyond `MOST_WAYS` fit nothing."""
    fitter = Ways(problem)
    return [
        fitter.fit(way.split(_BETWEEN), recipe)
        if n < MOST_WAYS
        else fitter.none(way.split(_BETWEEN))
        for n, (way, recipe) in enumerate(ways)
    ]


def _spelled_out(fitted: Sequence[Way]) -> tuple[pl.DataFrame, list[Place], list[str]]:
    """A row for each station of each kind of way; the places and reasons that they point to."""
    import polars as pl

    places: dict[tuple[str, int], tuple[int, Place]] = {}
    reasons: dict[str, int] = {}
    rows: list[tuple[int, int, int | None, int | None, str | None]] = []
    for kind, way in enumerate(fitted):
        for at, found in enumerate(way.places):
            place = why_not = None
            recipe = way.recipe
            if isinstance(found, Place):
                key = found.recipe, found.number
                place = places.setdefault(key, (len(places), found))[0]
                recipe = found.recipe
            elif found is not None:
                why_not = reasons.setdefault(found, len(reasons))
            rows.append((kind, at, place, why_not, recipe))
    schema = {
        "kind": pl.UInt32,
        "at": pl.Int64,
        "place": pl.Int32,
        "why_not": pl.Int32,
        "recipe": pl.String,
    }
    frame = pl.DataFrame(rows, schema=schema, orient="row")
    return frame, [place for _, place in places.values()], list(reasons)


def _odd_ways(frame: pl.DataFrame, fitted: Sequence[Way], problem: Problem) -> Faults:
    """What of the ways of loads does not fit, a fault each, at the event that shows it."""
    ends = {station.name for station in problem.stations if station.loads or station.unloads}
    found = Faults()
    before = ""
    for row in frame.iter_rows(named=True):
        way, at = fitted[row["kind"]], row["at"]
        line = row["in_line"] if row["in_line"] is not None else row["out_line"]
        who, here = row["carrier"] or "the load", row["station"]
        for place, names in way.left_out:
            if place == at:
                why = (
                    f"{who} went from {before} to {here}: it left them out, or they are not logged"
                )
                found.add([Fault(row["file"], line, "stages left out", names, why)])
        if at in way.extra and way.recipe is not None and here not in ends:
            why = f"{who} was there, which is no stage of {way.recipe} at this point of its way"
            found.add([Fault(row["file"], line, "no stage", here, why)])
        if at == 0 and way.recipe is None and any(place is not None for place in way.places):
            why = f"the way of {who} from here on fits no recipe; its stays are not judged"
            found.add([Fault(row["file"], line, "no recipe", here, why)])
        before = here
    return found
