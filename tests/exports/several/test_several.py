"""Tables of several hoists: read back and replayed, and no delay leads two too close."""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest

import hoistopt
from hoistopt import InputError
from hoistopt.app.verify import is_programme, verify
from hoistopt.exports import several_text
from hoistopt.exports.readback import ExportFailed
from hoistopt.exports.readback.several_proof import prove_several, schedule_of_several
from hoistopt.exports.readback.several_waits import check_releases
from hoistopt.exports.several import SeveralTable, several_table
from hoistopt.exports.several.formats.words import APART
from hoistopt.problem import Problem
from tests.helpers.hoists.interleavings import Interleavings
from tests.helpers.hoists.several_tables import drawn, example, without_one
from tests.reference.several.several import draw


@pytest.mark.parametrize(("form", "unit"), [("csv", "ms"), ("json", "ds")])
def test_what_a_file_says_is_accepted(form: str, unit: str) -> None:
    problem, schedule = example()
    table = several_table(problem, schedule, unit, "track", 1)
    text = several_text(problem, table, form)
    for caution in APART:
        assert caution in text
    cycle = schedule_of_several(problem, table)
    assert hoistopt.verify(problem, cycle) == ()
    made = sorted((step.hoist, step.source, step.target) for step in schedule)
    assert sorted((step.hoist, step.source, step.target) for step in cycle) == made


@pytest.mark.parametrize("form", ["csv", "json"])
def test_a_file_handed_over_is_verified(form: str, tmp_path: Path) -> None:
    problem, schedule = example()
    text = several_text(problem, several_table(problem, schedule), form)
    path = tmp_path / f"machine.{form}"
    path.write_text(text)
    answer = verify(problem, path)
    assert len(answer.schedule) == len(schedule)
    assert "their limits" in answer.sentences()[1]
    assert not is_programme(path)
    with pytest.raises(InputError, match="tolerance = 1: expected a line with one hoist"):
        verify(problem, path, tolerance=Decimal(1))
    path.write_text(re.sub(r'(check_sum(?: \[number\])?"?[,:] ?)\d+', r"\1x", text))
    with pytest.raises(InputError, match="as `hoistopt sequencer` writes it"):
        verify(problem, path)


def test_a_motion_or_release_that_was_taken_out_is_told(tmp_path: Path) -> None:
    problem, schedule = example()
    data = json.loads(several_text(problem, several_table(problem, schedule), "json"))
    path = tmp_path / "machine.json"

    def told(change: Callable[[list[dict[str, Any]]], object]) -> str:
        wrong = copy.deepcopy(data)
        for hoist in wrong["hoists"]:
            change(hoist["motions"])
        path.write_text(json.dumps(wrong))
        try:
            return " ".join(verify(problem, path).sentences())
        except InputError as error:
            return str(error)

    assert "Clean" in told(list)
    assert "numbered from 1, one after the other, so 2 here" in told(lambda motions: motions.pop(1))
    assert "motion 1, start place" in told(lambda motions: motions.pop())
    silent = told(lambda motions: [motion.update(releases=[]) for motion in motions])
    assert "none in the whole table" in silent and "they can come too close" in silent
    unknown = told(
        lambda motions: [r.update(other_motion=99) for m in motions for r in m["releases"]]
    )
    assert "a release by a motion of the tables" in unknown


@pytest.mark.quick
def test_the_cycle_time_stays_as_it_was() -> None:
    for seed in (2, 3, 9):
        problem = draw(seed).problem()
        schedule = hoistopt.solve(problem, workers=1).schedule
        assert schedule is not None and schedule.travels
        table = several_table(problem, schedule)
        assert table.cycle == schedule.time(schedule.cycle) * 1000


def test_hoists_that_pass_closely_wait_a_little() -> None:
    """The order of the worked example leaves no time to set out from rest behind another."""
    problem, schedule = example()
    table = several_table(problem, schedule)
    planned = schedule.time(schedule.cycle) * 1000
    assert planned <= table.cycle <= planned * Fraction(1005, 1000)


@pytest.mark.parametrize("seed", [5, 27])
def test_a_margin_asked_for_is_kept(seed: int) -> None:
    """Waits for other hoists take nothing of the float that every start is to have."""
    problem = replace(draw(seed), slack=1, late=1).problem()
    schedule = hoistopt.solve(problem, workers=1, degree=1).schedule
    assert schedule is not None
    table = several_table(problem, schedule)
    assert hoistopt.verify(problem, schedule_of_several(problem, table)) == ()


@pytest.mark.quick
def test_waits_are_eased_where_two_rings_of_them_contradict_one_another() -> None:
    """One asks for a longer cycle, one for a shorter: either may be eased."""
    problem = draw(23).problem()
    schedule = hoistopt.solve(problem, workers=1).schedule
    assert schedule is not None
    assert several_table(problem, schedule).cycle == schedule.time(schedule.cycle) * 1000


def test_what_is_too_tight_says_by_how_much() -> None:
    """Moves that take no whole seconds, in whole seconds."""
    data = draw(0).problem().to_data() | {"tick": Decimal("0.1")}
    for hoist in data["hoist"]:
        hoist["loaded"]["speed"] = hoist["empty"]["speed"] = Decimal("0.7")
    problem = Problem.from_data(data)
    schedule = hoistopt.solve(problem, workers=1, degree=1).schedule
    assert schedule is not None
    assert several_table(problem, schedule).cycle == schedule.time(schedule.cycle) * 1000
    with pytest.raises(InputError, match=r"every window; they fall short by 1 s\. .*a margin"):
        several_table(problem, schedule, "s")


def test_a_file_with_another_number_is_noticed() -> None:
    problem, schedule = example()
    table = several_table(problem, schedule)
    data = json.loads(several_text(problem, table, "json"))
    wait = next(m for h in data["hoists"] for m in h["motions"] if m["releases"])["releases"][0]
    wait["other_motion"] += 1
    with pytest.raises(ExportFailed, match="something else"):
        prove_several(problem, table, json.dumps(data), "json")
    # Written as it is, but with a schedule that the checker refuses.
    first = table.hoists[0]
    early = replace(first.motions[1], planned=first.motions[1].planned - 60_000)
    hoist = replace(first, motions=(first.motions[0], early, *first.motions[2:]))
    wrong = replace(table, hoists=(hoist, *table.hoists[1:]))
    with pytest.raises(ExportFailed, match="windows as stated"):
        several_text(problem, wrong, "json")


def _judged(problem: Problem, table: SeveralTable) -> None:
    check_releases(table, hoistopt.accepted(problem, schedule_of_several(problem, table)))


def _tried(seeds: range) -> int:
    count = 0
    for seed, problem, table in drawn(seeds):
        seen = Interleavings(problem, table).all()
        assert not seen.too_close, (seed, seen)
        assert not seen.stuck, (seed, seen)
        _judged(problem, table)
        count += 1
    return count


def test_no_delay_leads_two_hoists_too_close_or_to_wait_for_each_other() -> None:
    """All orders of leaving and arriving that the releases allow; one that follows is exempt."""
    assert _tried(range(12)) >= 10


@pytest.mark.long
@pytest.mark.parametrize("chunk", range(10))
def test_no_delay_does_so_on_many_lines(chunk: int) -> None:
    assert _tried(range(100 + 40 * chunk, 140 + 40 * chunk)) >= 30


@pytest.mark.long
def test_every_schedule_has_tables_whatever_margin_is_asked_for() -> None:
    count = 0
    for seed in range(200):
        for late in (0, 1):
            try:
                problem = replace(draw(seed), slack=late, late=late).problem()
                schedule = hoistopt.solve(problem, workers=1, degree=1).schedule
            except InputError:  # no hoist makes some move
                continue
            if schedule is not None:
                several_table(problem, schedule)
                count += 1
    assert count > 200


def test_a_release_left_out_leads_two_too_close() -> None:
    """Of tables in which none follows, as by time alone nothing is tried here."""
    for seed, problem, table in drawn(range(12)):
        if not table.following():
            for release, left_out in without_one(table):
                assert Interleavings(problem, left_out).all().too_close, (seed, release)
                with pytest.raises(InputError, match="they can come too close"):
                    _judged(problem, left_out)
