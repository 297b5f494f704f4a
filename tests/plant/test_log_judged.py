"""Logs made by replaying schedules, with known lateness, stops, lost events and clock faults."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

import pytest

import hoistopt
from hoistopt.plant.events import read_log
from hoistopt.plant.judging.judge import JudgedLog, judge_log
from hoistopt.plant.judging.stays import CLOCK, UNSEEN, UNTIMED
from hoistopt.plant.mapping import read_mapping
from tests.helpers.logs.logs import (
    FIRST_LINE,
    Event,
    events_of,
    later,
    replayed,
    stays_of,
    written,
)

pl = pytest.importorskip("polars")

LINE = "problems/quillhaven_anodising.toml"
SEEN = replayed(LINE, 12)
EVENTS = events_of(SEEN)
BOTH = pytest.mark.parametrize("carriers", [True, False])


def judged(
    tmp_path: Path, events: Sequence[Event], *, carriers: bool = True, step: int = 1
) -> JudgedLog:
    path = written(events, tmp_path / "log.csv", carriers=carriers, step=step)
    return judge_log(read_log([path], read_mapping(SEEN.problem)), SEEN.problem)


def verdicts(found: JudgedLog) -> Counter[tuple[str, str]]:
    frame = found.stays.frame.select("station", "verdict")
    return Counter((str(station), str(verdict)) for station, verdict in frame.rows())


def told(found: JudgedLog) -> list[tuple[int, str]]:
    assert not found.faults.unlisted
    return [(fault.line, fault.field) for fault in found.faults.listed]


def line_of(index: int) -> int:
    return index + FIRST_LINE


@BOTH
def test_a_clean_log_shows_the_stays_that_the_checker_saw(tmp_path: Path, carriers: bool) -> None:
    found = judged(tmp_path, EVENTS, carriers=carriers)
    assert told(found) == []
    rows = found.stays.frame.sort("in").select("station", "recipe", "place", "dwell", "verdict")
    expected = sorted(stays_of(SEEN), key=lambda stay: stay.since)
    assert len(rows) == len(expected) > 100
    for (station, recipe, place, dwell, verdict), stay in zip(rows.rows(), expected, strict=True):
        assert (station, recipe, verdict) == (stay.station, stay.recipe, "within")
        assert found.stays.places[place].number == stay.stage
        assert stay.dwell is not None and 0 <= dwell / 1e6 - float(stay.dwell) <= 0.002
    assert found.running.loads == sum(run.target == "Unload" for run in SEEN.runs)
    assert found.running.stops == []


@BOTH
@pytest.mark.parametrize("stopped", [20, 400])
def test_a_stop_and_what_it_costs_are_found_exactly(
    tmp_path: Path, carriers: bool, stopped: int
) -> None:
    # In the longest pause of the seventh cycle or so, so that every stage holds its load.
    begin = max(range(120, 140), key=lambda index: EVENTS[index + 1].time - EVENTS[index].time)
    after = EVENTS[begin + 1].time
    usual = 2 * max(b.time - a.time for a, b in pairwise(EVENTS))
    late = later(EVENTS, after, 1000 * stopped + usual)
    length = stopped + usual / 1000
    standing = [s for s in stays_of(SEEN) if s.since * 1000 <= after - 1 and _out(s) >= after]
    over = [s for s in standing if s.most is not None and float(_dwell(s)) + length > s.most]
    assert 3 <= len(over) <= len(standing)
    found = judged(tmp_path, late, carriers=carriers)
    assert told(found) == []
    (stop,) = found.running.stops
    assert (stop.inside, stop.over, stop.line) == (len(standing), len(over), line_of(begin + 1))
    assert stop.length == (after - EVENTS[begin].time) * 1000 + round(length * 1e6)
    out = found.stays.frame.filter(pl.col("verdict") == "over")
    assert Counter(out.get_column("station")) == Counter(stay.station for stay in over)
    by = {row[0]: row[1] for row in out.select("station", "by").rows()}
    for stay in over:
        expected = float(_dwell(stay)) + length - float(stay.most or 0)
        assert by[stay.station] / 1e6 == pytest.approx(expected, abs=0.003)
    assert stop.lost == pytest.approx(
        stop.length / 3.6e9 * (found.running.loads_per_running_hour or 0)
    )


def _out(stay: hoistopt.checker.CarrierStay) -> int:
    assert stay.until is not None
    return int(stay.until * 1000)


def _dwell(stay: hoistopt.checker.CarrierStay) -> float:
    assert stay.dwell is not None
    return float(stay.dwell)


STEADY = range(120, 142)
LOST = [
    pytest.param(lost, carriers, marks=() if (lost + carriers) % 2 else pytest.mark.long)
    for lost in STEADY
    for carriers in (True, False)
]
"""Every event of a cycle, in the usual run with or without the carriers' names."""


@pytest.mark.parametrize(("lost", "carriers"), LOST)
def test_a_lost_event_is_told_once_and_costs_one_stay(
    tmp_path: Path, carriers: bool, lost: int
) -> None:
    events = [event for n, event in enumerate(EVENTS) if n != lost]
    gone = EVENTS[lost]
    found = judged(tmp_path, events, carriers=carriers)
    # The next event of the same carrier shows it; where it is a load's last, the one before.
    near = [n for n, event in enumerate(events) if event.carrier == gone.carrier]
    before = max(n for n in near if n < lost)
    after = min(n for n in near if n >= lost)
    around = (line_of(before), line_of(after))
    if not carriers and (gone.kind, gone.station) == ("lift", "Seal"):
        # The load set down in the rinse after it can come from either anodising tank as well.
        assert sorted(told(found)) == [(line, "missing lift") for line in around]
    else:
        ((line, kind),) = told(found)
        assert kind == f"missing {gone.kind}"
        assert line in around
    counts, clean = verdicts(found), Counter({(s.station, "within"): 0 for s in stays_of(SEEN)})
    clean.update((stay.station, "within") for stay in stays_of(SEEN))
    if gone.station in ("Load", "Unload"):
        assert counts == clean
    else:
        clean[gone.station, "within"] -= 1
        clean[gone.station, "not judged"] += 1
        assert counts == clean
        why = found.stays.frame.filter(pl.col("verdict") == "not judged").get_column("why")
        assert why.to_list() == [UNSEEN[gone.kind == "lift"]]


def test_a_stage_that_is_left_out_is_told(tmp_path: Path) -> None:
    lower = next(n for n in STEADY if EVENTS[n].kind == "lower" and EVENTS[n].station == "Etch")
    who = EVENTS[lower].carrier
    lift = next(n for n, e in enumerate(EVENTS) if n > lower and e.carrier == who)
    found = judged(tmp_path, [event for n, event in enumerate(EVENTS) if n not in (lower, lift)])
    (fault,) = found.faults.listed
    assert (fault.field, fault.value) == ("stages left out", "Etch")
    counts = verdicts(found)
    assert counts["Etch", "within"] == sum(s.station == "Etch" for s in stays_of(SEEN)) - 1
    assert not any(verdict == "not judged" for _, verdict in counts)


@BOTH
def test_a_clock_set_back_is_told_and_only_who_stood_meanwhile_is_not_judged(
    tmp_path: Path, carriers: bool
) -> None:
    change = 130
    after = EVENTS[change].time
    back = after - EVENTS[change - 1].time + 300_000
    found = judged(tmp_path, later(EVENTS, after, -back), carriers=carriers)
    assert told(found) == [(line_of(change), "clock set back")]
    assert found.faults.listed[0].value == "300 s"
    standing = [s for s in stays_of(SEEN) if s.since * 1000 < after and _out(s) >= after]
    unsure = found.stays.frame.filter(pl.col("verdict") == "not judged")
    assert Counter(unsure.get_column("station")) == Counter(stay.station for stay in standing)
    assert set(unsure.get_column("why")) == {CLOCK}
    assert set(found.stays.frame.get_column("verdict")) == {"within", "not judged"}


def test_an_event_that_stands_twice_is_told(tmp_path: Path) -> None:
    for kind in ("lift", "lower"):
        index = next(n for n in STEADY if EVENTS[n].kind == kind and EVENTS[n].station == "Seal")
        found = judged(tmp_path, [*EVENTS[: index + 1], *EVENTS[index:]])
        assert (line_of(index + 1), f"missing {'lower' if kind == 'lift' else 'lift'}") in told(
            found
        )


def test_a_carrier_out_of_nowhere_is_told(tmp_path: Path) -> None:
    index = next(n for n in STEADY if EVENTS[n].kind == "lower" and EVENTS[n].station == "Desmut")
    stranger = Event(EVENTS[index].time + 1, "lift", "Rinse 1", "X9", "")
    events = [*EVENTS[: index + 1], stranger, *EVENTS[index + 1 :]]
    found = judged(tmp_path, events)
    assert (line_of(index + 1), "out of nowhere") in told(found)
    assert sum(n for (_, verdict), n in verdicts(found).items() if verdict == "within") == len(
        stays_of(SEEN)
    )


def test_a_log_that_begins_and_ends_in_the_middle_is_no_fault(tmp_path: Path) -> None:
    for carriers in (True, False):
        found = judged(tmp_path, EVENTS[61:172], carriers=carriers)
        assert told(found) == []
        unsure = found.stays.frame.filter(pl.col("verdict") == "not judged")
        assert set(unsure.get_column("why")) == set(UNSEEN)


def test_coarse_times_are_said_to_be_coarse(tmp_path: Path) -> None:
    found = judged(tmp_path, EVENTS, step=1000)
    assert found.stays.resolution == 1_000_000
    near = 0
    for row in found.stays.frame.filter(pl.col("place").is_not_null()).iter_rows(named=True):
        stage = found.stays.places[row["place"]].stage
        limits = [float(stage.min), *([] if stage.max is None else [float(stage.max)])]
        close = any(abs(row["dwell"] / 1e6 - limit) < 1 for limit in limits)
        assert row["near"] == close
        near += close
        if row["verdict"] != "within":
            assert close  # the schedule is clean: only coarse times can say otherwise
    assert near == sum(stage.near for stage in found.stages) > 0


def test_recipes_are_told_apart_by_the_way(tmp_path: Path) -> None:
    seen = replayed("problems/mixed_recipes.toml", 10)
    path = written(events_of(seen), tmp_path / "log.csv")
    found = judge_log(read_log([path], read_mapping(seen.problem)), seen.problem)
    rows = found.stays.frame.sort("in").select("station", "recipe", "place", "verdict").rows()
    expected = sorted(stays_of(seen), key=lambda stay: stay.since)
    assert len({stay.recipe for stay in expected}) > 1
    for (station, recipe, place, verdict), stay in zip(rows, expected, strict=True):
        assert (station, recipe, verdict) == (stay.station, stay.recipe, "within")
        assert found.stays.places[place].number == stay.stage


def test_a_stay_with_an_event_of_unknown_time_within_is_not_judged_and_no_stop(
    tmp_path: Path,
) -> None:
    """The hour that happens twice, of which the log has one: nobody knows which it was."""
    start = EVENTS[0].time
    hour = [n for n, event in enumerate(EVENTS) if 3_600_000 <= event.time - start < 7_200_000]
    path = written(EVENTS, tmp_path / "log.csv", carriers=False)
    lines = path.read_text(encoding="utf-8").splitlines()
    for number in hour:
        cells = lines[line_of(number) - 1].split(",")
        lines[line_of(number) - 1] = ",".join(["25.10.2026 02:30", *cells[1:]])
    path.write_text("\n".join(lines), encoding="utf-8")
    found = judge_log(read_log([path], read_mapping(SEEN.problem)), SEEN.problem)
    assert {("time", n) for n in map(line_of, hour)} <= {
        (f.field, f.line) for f in found.faults.listed
    }
    assert found.running.stops == []
    frame = found.stays.frame
    assert not (frame.get_column("verdict") == "over").any()
    assert UNTIMED in frame.get_column("why").to_list()
