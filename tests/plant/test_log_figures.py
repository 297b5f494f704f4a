"""Figures of judged logs against closed forms and other libraries; ways of loads by hand."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest

import hoistopt
from hoistopt.base.numbers.shares import wilson
from hoistopt.plant.events import read_log
from hoistopt.plant.judging.judge import JudgedLog, judge_log
from hoistopt.plant.mapping import read_mapping
from hoistopt.plant.ways import OFTEN, SEVERAL, UNKNOWN, Place, Ways
from hoistopt.show.log.run_chart import draw_run_chart
from hoistopt.show.log.stretch import draw_stretch, stretch_of

pytest.importorskip("polars")

ONE = hoistopt.Problem(
    "One tank",
    note="Invented: there is no such line.",
    stations=[
        hoistopt.Station("In", kind="load", position=0),
        hoistopt.Station("Tank", position=1),
        hoistopt.Station("Out", kind="unload", position=2),
    ],
    hoist=hoistopt.Hoist(lift=1, lower=1, loaded=hoistopt.Motion(1), empty=hoistopt.Motion(1)),
    recipes=[hoistopt.Recipe("Parts", [hoistopt.Stage("Tank", min=100, max=130)])],
)


SATURDAY = datetime(2025, 3, 29, 22, tzinfo=UTC)


def logged(
    dwells: np.ndarray, tmp_path: Path, zone: str | None = None, time: datetime = SATURDAY
) -> JudgedLog:
    """One load after the other with these dwells, in milliseconds, from a Saturday night on."""
    rows = ["time,event,station"]
    for dwell in dwells:
        for event, station, after in (
            ("lift", "In", 5000),
            ("lower", "Tank", int(dwell)),
            ("lift", "Tank", 5000),
            ("lower", "Out", 5000),
        ):
            rows.append(f"{time.isoformat()},{event},{station}")
            time += timedelta(milliseconds=after)
    path = tmp_path / "log.csv"
    path.write_text("\n".join(rows), encoding="utf-8")
    return judge_log(read_log([path], read_mapping(ONE, zone=zone)), ONE)


def test_capability_is_that_of_the_closed_forms(tmp_path: Path) -> None:
    dwells = np.random.default_rng(4).normal(113_000, 4_000, 1500).round()
    (stage,) = logged(dwells, tmp_path).stages
    mean, deviation = dwells.mean(), dwells.std(ddof=1)
    assert stage.lower is not None and stage.upper is not None
    assert stage.lower.normal == pytest.approx((mean - 100_000) / (3 * deviation))
    assert stage.upper.normal == pytest.approx((130_000 - mean) / (3 * deviation))
    low, middle, high = np.quantile(dwells, [0.00135, 0.5, 0.99865])
    assert stage.lower.percentiles == pytest.approx((middle - 100_000) / (middle - low))
    assert stage.upper.percentiles == pytest.approx((130_000 - middle) / (high - middle))
    # Where dwells are normal the two agree, for all that quantiles so far out scatter.
    assert stage.upper.percentiles == pytest.approx(stage.upper.normal, rel=0.25)
    assert stage.under == (dwells < 100_000).sum()


def test_no_percentiles_of_few_stays_and_no_index_without_spread(tmp_path: Path) -> None:
    (few,) = logged(np.arange(110_000, 110_100), tmp_path).stages
    assert few.upper is not None and few.upper.normal is not None
    assert few.upper.percentiles is None
    (alike,) = logged(np.full(800, 110_000), tmp_path).stages
    assert alike.upper is not None
    assert alike.upper.normal is None and alike.upper.percentiles is None


def test_the_interval_of_a_share_is_wilsons(tmp_path: Path) -> None:
    # scipy's own, for shares seen among independent trials.
    stats = pytest.importorskip("scipy.stats")
    for good, count in ((9, 10), (0, 25), (40, 40), (950, 1000)):
        other = stats.binomtest(good, count).proportion_ci(0.95, method="wilson")
        assert wilson(good / count, count) == pytest.approx((other.low, other.high))
    dwells = np.where(np.arange(400) % 10 == 3, 140_000, 110_000)
    (stage,) = logged(dwells, tmp_path).stages
    other = stats.binomtest(360, 400).proportion_ci(0.95, method="wilson")
    assert (stage.within.low, stage.within.high) == pytest.approx((other.low, other.high), abs=0.01)


def test_bad_days_widen_the_interval(tmp_path: Path) -> None:
    spread = np.where(np.arange(3000) % 10 == 0, 140_000, 110_000)
    in_a_row = np.where(np.arange(3000) < 300, 140_000, 110_000)
    even = logged(spread, tmp_path).stages[0].within
    uneven = logged(in_a_row, tmp_path).stages[0].within
    assert even.share == uneven.share
    assert uneven.high - uneven.low > 3 * (even.high - even.low)


def test_weeks_and_shifts_go_by_the_clock_of_the_line(tmp_path: Path) -> None:
    # From 23:00 on Saturday, Berlin time, over the change to summer time, one load each 125 s.
    dwells = np.full(900, 110_000)
    found = logged(dwells, tmp_path, "Europe/Berlin")
    begins = [
        datetime(2025, 3, 29, 22, tzinfo=UTC) + timedelta(seconds=125 * n) for n in range(900)
    ]
    monday = datetime(2025, 3, 30, 22, tzinfo=UTC)  # 00:00 in summer time
    before = sum(begin + timedelta(seconds=120) < monday for begin in begins)
    assert [(week.name, week.loads) for week in found.weeks] == [
        ("2025-W13", before),
        ("2025-W14", 900 - before),
    ]
    early = [b for b in begins if 4 <= (b + timedelta(seconds=120)).hour < 12]
    assert {s.name: s.loads for s in found.shifts}["06:00 to 14:00"] == len(early)
    assert sum(shift.loads for shift in found.shifts) == 900


@pytest.mark.parametrize("month", [3, 10])
def test_pictures_run_on_in_the_night_of_a_clock_change(tmp_path: Path, month: int) -> None:
    # A load each 125 s from 23:00 or midnight in Berlin on, over the hour that is left out or
    # comes twice.
    begin = datetime(2025, month, 29 if month == 3 else 25, 22, tzinfo=UTC)
    found = logged(np.full(230, 110_000), tmp_path, "Europe/Berlin", begin)
    minutes, stretches = found.chart
    begins = np.array([stretch.begin for stretch in stretches])
    assert (np.diff(begins) == minutes * 60_000_000).all()
    chart = draw_run_chart(found)
    assert chart is not None
    (steps,) = [patch for patch in chart.axes[0].patches if patch.get_gid() == "loads"]
    rates = steps.get_data().values[1:-1]
    assert len(rates) > 4
    # A step may have one load more or less than its share.
    assert abs(rates - 3600 / 125).max() <= 60 / minutes
    at = datetime(2025, month, 30 if month == 3 else 26, 0, 30, tzinfo=UTC)
    asked = int(at.timestamp()) * 1_000_000
    drawn = draw_stretch(found, stretch_of(found, asked, 3600 * 1_000_000))
    (low, high), labels = drawn.axes[0].get_xlim(), drawn.axes[0].get_xticklabels()
    assert (high - low) * 24 == pytest.approx(1)
    shown = [label.get_text().split()[0] for label in labels]
    after = 3 if month == 3 else 2
    assert shown[0] == ("01:30" if month == 3 else "02:30")
    assert shown[-1] == f"{after:02d}:30" and f"{after:02d}:00" in shown


STAGES = [
    hoistopt.Stage("A", min=10, max=20),
    hoistopt.Stage("R", min=1, max=2),
    hoistopt.Stage("B", min=30, max=40),
    hoistopt.Stage("R", min=5, max=9),
    hoistopt.Stage("C", min=50),
]
TWO = hoistopt.Problem(
    "Two recipes",
    note="Invented: there is no such line.",
    stations=[
        hoistopt.Station("In", kind="load-unload", position=0),
        *(hoistopt.Station(name, position=n + 1) for n, name in enumerate("ARBCD")),
    ],
    hoist=hoistopt.Hoist(lift=1, lower=1, loaded=hoistopt.Motion(1), empty=hoistopt.Motion(1)),
    recipes=[
        hoistopt.Recipe("Long", STAGES),
        hoistopt.Recipe("Short", [STAGES[0], hoistopt.Stage("D", min=3, max=4)]),
    ],
    cycle=hoistopt.Cycle(mix={"Long": 1, "Short": 1}),
)


def numbers(way: str, recipe: str | None = None) -> list[object]:
    fitted = Ways(TWO).fit(["In" if name == "i" else name for name in way], recipe)
    return [place.number if isinstance(place, Place) else place for place in fitted.places]


@pytest.mark.quick
def test_stages_are_found_by_the_way_alone() -> None:
    assert numbers("iARBRCi") == [None, 1, 2, 3, 4, 5, None]
    assert numbers("RBR") == [2, 3, 4]  # seen in part: only there do they stand in this order
    assert numbers("RC") == [4, 5]
    assert numbers("iADi") == [None, 1, 2, None]
    assert Ways(TWO).fit(["In", "A", "D", "In"]).recipe == "Short"


def test_what_may_be_several_stages_is_not_guessed() -> None:
    assert numbers("R") == [SEVERAL]
    assert numbers("iARCi") == [None, 1, SEVERAL, 5, None]  # either rinse, B left out
    assert numbers("ARRBR") == [1, OFTEN, OFTEN, 3, 4]
    assert len(Ways(TWO).fit(list("ARRBR")).extra) == 1
    # Both recipes begin alike, and with the same window: that is known.
    both = Ways(TWO).fit(["In", "A"])
    assert [place.number for place in both.places if isinstance(place, Place)] == [1]
    assert both.recipe == "Long or Short"
    assert numbers("iARCi", "Short") == [None, UNKNOWN, UNKNOWN, UNKNOWN, None]


def test_the_cheapest_alignment_is_that_of_brute_force() -> None:
    route = ["In", *(stage.station[0] for stage in STAGES), "In"]
    rng = np.random.default_rng(8)
    seen = 0
    for _ in range(200):
        way = [str(name) for name in rng.choice(["A", "R", "B", "C"], rng.integers(2, 7))]
        fits = Ways(TWO).fit(way, "Long")
        least = _least(route, way)
        assert (fits.recipe is not None) == (2 * least <= len(way))
        if fits.recipe is not None:
            skipped = sum(len(names.split(", ")) for _, names in fits.left_out)
            assert skipped + len(fits.extra) == least
            seen += least > 0
    assert seen > 50


def _least(route: list[str], way: list[str]) -> float:
    """Least cost over all ways to place the stations of a way in the route, by trying all."""

    def rest(at: int, last: int | None) -> float:
        if at == len(way):
            return 0
        found = 1 + rest(at + 1, last)
        for place in range(0 if last is None else last + 1, len(route)):
            if route[place] == way[at]:
                skipped = 0 if last is None else place - last - 1
                found = min(found, skipped + rest(at + 1, place))
        return found

    return rest(0, None)
