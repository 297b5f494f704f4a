"""How the stays in each stage kept to its window: shares, how far, and capability."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ...base.numbers.shares import Share, wilson
from ...problem import Problem
from ..ways import Place
from .stays import ALIKE, Stays, window

if TYPE_CHECKING:
    import polars as pl

LEAST_FOR_PERCENTILES = 741
"""Stays from which on the outer percentiles lie among those seen: 1 / 0.135 %."""
LOW, HIGH = 0.00135, 0.99865


@dataclass(frozen=True)
class Capability:
    """How far a limit lies from the middle of the dwells, in units of half their spread.

    Process performance indices as ISO 22514-2 has them: `normal` from the mean and three
    standard deviations, which takes the dwells for normally distributed; `percentiles` from
    the median and the 0.135 % or 99.865 % quantile, which does not. None where it cannot be
    told: too few stays, or no spread.
    """

    normal: float | None
    percentiles: float | None


@dataclass(frozen=True)
class StageFigures:
    """The stays in one stage.

    Attributes
    ----------
    place : Place
    least, most : int or None
        The window in microseconds.
    stays, under, over : int
        Stays that were judged, and how many of them broke either limit.
    near : int
        Stays of which the other verdict is possible, as the log's times are coarse.
    not_judged : int
    mean, deviation, shortest, longest : float or None
        Of the dwells, in microseconds.
    most_under, most_over : int or None
        The furthest from the window, in microseconds.
    when_under, when_over : int or None
        When that load was lifted, in microseconds UTC.
    within : Share
        Stays within the window, with a 95 % interval.
    lower, upper : Capability or None
        Against the minimum and the maximum; None where there is none.
    """

    place: Place
    least: int
    most: int | None
    stays: int
    under: int
    over: int
    near: int
    not_judged: int
    mean: float | None
    deviation: float | None
    shortest: int | None
    longest: int | None
    most_under: int | None
    when_under: int | None
    most_over: int | None
    when_over: int | None
    within: Share
    lower: Capability | None
    upper: Capability | None


def stage_figures(stays: Stays, problem: Problem) -> list[StageFigures]:
    """Figures for each stage that loads were seen in, in the order of the recipes.

    Parameters
    ----------
    stays : Stays
    problem : Problem
    """
    import polars as pl

    frame = stays.frame.filter(pl.col("place").is_not_null()).select(
        "place", "dwell", "verdict", "by", "near", "out"
    )
    verdict = pl.col("verdict")
    judged = verdict != "not judged"
    dwell = pl.col("dwell").filter(judged)
    worst = {}
    for word in ("under", "over"):
        by = pl.when(verdict == word).then("by")
        worst[f"most_{word}"] = by.max()
        worst[f"when_{word}"] = pl.col("out").get(by.fill_null(-1).arg_max())
    table = frame.group_by("place").agg(
        stays=judged.sum(),
        under=(verdict == "under").sum(),
        over=(verdict == "over").sum(),
        near=pl.col("near").sum(),
        not_judged=(~judged).sum(),
        mean=dwell.mean(),
        deviation=dwell.std(),
        shortest=dwell.min(),
        longest=dwell.max(),
        low=dwell.quantile(LOW, "linear"),
        middle=dwell.median(),
        high=dwell.quantile(HIGH, "linear"),
        **worst,
    )
    spread = _spread(frame.filter(judged), ALIKE[stays.alike])
    rows = {row["place"]: row for row in table.iter_rows(named=True)}
    order = {
        (recipe.name, n): (r, n) for r, recipe in enumerate(problem.recipes) for n in range(301)
    }
    last = (len(problem.recipes), 0)
    found = [
        _figures(place, rows[number], spread.get(number, 1.0), problem)
        for number, place in enumerate(stays.places)
        if number in rows
    ]
    return sorted(
        found, key=lambda f: (order.get((f.place.recipe, f.place.number), last), f.place.recipe)
    )


def all_within(stays: Stays) -> Share:
    """The share of all stays that were within their windows, with a 95 % interval."""
    import polars as pl

    frame = stays.frame.filter(pl.col("verdict") != "not judged").select(
        "out", "verdict", place=pl.lit(0, pl.Int32)
    )
    good = frame.filter(pl.col("verdict") == "within").height
    if not len(frame):
        return Share(0, 0, 0.0, 1.0)
    effect = _spread(frame, ALIKE[stays.alike])[0]
    return Share(good, len(frame), *wilson(good / len(frame), len(frame) / effect))


def _spread(frame: pl.DataFrame, length: int) -> dict[int, float]:
    """How many times more the share out of window differs from day to day, or from one stretch of
    this length to the next, than by chance.

    The design effect of L. Kish (1965), "Survey Sampling", Wiley: loads of one day fare alike.
    """
    import polars as pl

    days = frame.group_by("place", day=pl.col("out") // length).agg(
        stays=pl.len(), out=(pl.col("verdict") != "within").sum()
    )
    share = pl.col("out").sum().over("place") / pl.col("stays").sum().over("place")
    days = days.with_columns(share=share).with_columns(
        square=pl.col("stays") * (pl.col("out") / pl.col("stays") - pl.col("share")) ** 2
    )
    between = pl.col("square").sum() / (pl.len() - 1)
    alone = pl.col("share").first() * (1 - pl.col("share").first())
    effects = days.group_by("place").agg(
        effect=pl.when((pl.len() > 1) & (alone > 0)).then(between / alone).otherwise(1.0)
    )
    return {place: max(1.0, effect) for place, effect in effects.rows()}


def _figures(place: Place, row: dict[str, object], effect: float, problem: Problem) -> StageFigures:
    least, most = window(place.stage, problem)
    kept = {
        key: row[key]
        for key in (
            "stays", "under", "over", "near", "not_judged", "mean", "deviation", "shortest",
            "longest", "most_under", "when_under", "most_over", "when_over",
        )
    }  # fmt: skip
    for word in ("under", "over"):
        if not row[word]:
            kept[f"when_{word}"] = None
    stays, out = int(str(row["stays"])), int(str(row["under"])) + int(str(row["over"]))
    good = 1 - out / stays if stays else 0.0
    low, high = wilson(good, stays / effect) if stays else (0.0, 1.0)
    return StageFigures(
        place=place,
        least=least,
        most=most,
        within=Share(stays - out, stays, low, high),
        lower=_capability(row, least, -1) if least else None,
        upper=_capability(row, most, 1) if most is not None else None,
        **kept,  # type: ignore[arg-type]
    )


def _capability(row: dict[str, object], limit: int, side: int) -> Capability:
    """Against a maximum (`side` 1) or a minimum (-1)."""

    def value(key: str) -> float | None:
        found = row[key]
        return None if found is None else float(str(found))

    mean, deviation, middle = value("mean"), value("deviation"), value("middle")
    outer = value("high" if side > 0 else "low")
    normal = percentiles = None
    if mean is not None and deviation:
        normal = side * (limit - mean) / (3 * deviation)
    enough = int(str(row["stays"])) >= LEAST_FOR_PERCENTILES
    if enough and middle is not None and outer is not None and outer != middle:
        percentiles = (limit - middle) / (outer - middle)
    return Capability(normal, percentiles)
