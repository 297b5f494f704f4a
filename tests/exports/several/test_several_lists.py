"""Programmes of several hoists as step tables: read back, replayed, and run with delays."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from random import Random

import pytest

import hoistopt
from hoistopt import InputError, Order, Programme
from hoistopt.app.machine.sequencer import sequencer_once
from hoistopt.app.verify import is_programme, verify, verify_programme
from hoistopt.base.effort import Effort
from hoistopt.exports import several_text
from hoistopt.exports.readback import ExportFailed
from hoistopt.exports.readback.several_once import programme_of_lists
from hoistopt.exports.readback.several_proof import prove_several
from hoistopt.exports.several import SeveralTable
from hoistopt.exports.several.formats.words import APART
from hoistopt.exports.several.once import several_programme_table
from hoistopt.problem import Problem
from tests.helpers.command import PROBLEMS
from tests.helpers.hoists.interleavings import Interleavings
from tests.helpers.hoists.listed_plant import ListedPlant
from tests.helpers.hoists.several_tables import drawn_lists, without_one
from tests.reference.several.several import draw

SCAN = 50
"""Of the plant, in ms: it is late by so much at every turn."""


@cache
def example() -> tuple[Problem, Programme]:
    """The worked example with two loads, until it is empty."""
    problem = hoistopt.load_problem(PROBLEMS / "several" / "two_hoists.toml")
    made = hoistopt.plan(problem, [Order("Brackets", 2)], effort=Effort(20, 1)).programme
    assert made is not None and made.travels
    return problem, made


@pytest.mark.parametrize(("form", "unit"), [("csv", "ms"), ("json", "s")])
def test_what_a_file_says_is_accepted_and_warned_of(form: str, unit: str) -> None:
    problem, made = example()
    handed = sequencer_once(problem, made, (form,), unit)
    table, (text,) = handed.table, handed.texts
    assert isinstance(table, SeveralTable)
    assert APART[0] in text and "the very state that it begins with" in text
    back = programme_of_lists(table, problem)
    seen = hoistopt.replay_programme(problem, back)
    assert seen.clean and not seen.left
    assert sorted((s.hoist, s.source, s.target, s.load) for s in back) == sorted(
        (s.hoist, s.source, s.target, s.load) for s in made
    )
    # No start is earlier than planned.
    first = {(step.load, step.stage): made.time(step.start) for step in made}
    assert all(run.start >= first[run.load, run.stage] for run in seen.runs)
    assert any(motion.releases for motion in table.once)


@pytest.mark.parametrize("form", ["csv", "json"])
def test_a_file_handed_over_is_verified(form: str, tmp_path: Path) -> None:
    problem, made = example()
    (text,) = sequencer_once(problem, made, (form,)).texts
    path = tmp_path / f"machine.{form}"
    path.write_text(text)
    assert is_programme(path)
    answer = verify_programme(problem, path)
    assert (
        len(answer.replay.runs) == len(made) and "their release signals" in answer.sentences()[-1]
    )
    with pytest.raises(InputError, match="a cycle; these tables have lists"):
        verify(problem, path)
    path.write_text(re.sub(r'(check_sum(?: \[number\])?"?[,:] ?)\d+', r"\1x", text))
    with pytest.raises(InputError, match="as `hoistopt sequencer` writes it"):
        verify_programme(problem, path)


@pytest.mark.parametrize("form", ["st", "xml"])
def test_what_no_block_runs_yet_says_so(form: str) -> None:
    problem, made = example()
    table = several_programme_table(problem, made)
    hoists = tuple(replace(hoist, motions=hoist.once) for hoist in table.hoists)
    with pytest.raises(InputError, match="a function block that goes over from a list into it"):
        several_text(problem, replace(table, hoists=hoists, cycle=10**6), form)


def test_another_cycle_is_the_programmes_own() -> None:
    problem, made = example()
    with pytest.raises(InputError, match=r"joins.*goes over into its cycle.*plan --to"):
        sequencer_once(problem, made, ("csv",), joins=3)


def test_a_file_with_another_number_is_noticed() -> None:
    problem, made = example()
    table = several_programme_table(problem, made)
    data = json.loads(several_text(problem, table, "json"))
    wait = next(m for h in data["hoists"] for m in h["motions"] if m["releases"])["releases"][0]
    wait["other_motion"] += 1
    with pytest.raises(ExportFailed, match="something else"):
        prove_several(problem, table, json.dumps(data), "json")
    # Written as it is, but with moves that the checker refuses.
    place = next(n for n, m in enumerate(table.hoists[1].once) if m.fed_by)
    once = list(table.hoists[1].once)
    once[place] = replace(once[place], planned=once[place].planned - 60_000)
    hoists = (table.hoists[0], replace(table.hoists[1], once=tuple(once)))
    with pytest.raises(ExportFailed, match="windows as stated"):
        several_text(problem, replace(table, hoists=hoists), "json")


def entering(seeds: range) -> Iterator[tuple[int, Problem, SeveralTable]]:
    """The same that go over into their least cycle, from an empty line."""
    for seed in seeds:
        try:
            problem = draw(seed).problem()
            cycle = hoistopt.solve(problem, workers=1).schedule
            if cycle is None:
                continue
            made = hoistopt.plan(problem, to=cycle, effort=Effort(3, 1)).programme
            if made is not None and made.repeats is not None:
                yield seed, problem, several_programme_table(problem, made)
        except InputError:  # no hoist makes some move, or no time to wait for another
            continue


def _tried(seeds: range) -> int:
    count = 0
    for seed, problem, table in drawn_lists(seeds):
        _no_order_is_wrong(seed, problem, table)
        _no_delay_is_wrong(seed, problem, table, 2)
        count += 1
    return count


def _no_order_is_wrong(seed: int, problem: Problem, table: SeveralTable) -> None:
    seen = Interleavings(problem, table, 3).all()
    assert not seen.too_close and not seen.stuck, (seed, seen)


def _no_delay_is_wrong(seed: int, problem: Problem, table: SeveralTable, times: int) -> None:
    for number in range(times):
        rng = Random(f"{seed} {number}")
        late = [0, 0, 0, 30_000] if number else [0]

        def longer(
            hoist: int, motion: int, phase: str, rng: Random = rng, late: list[int] = late
        ) -> int:
            return rng.randint(0, rng.choice(late))

        plant = ListedPlant(problem, table, longer, scan=SCAN)
        plant.run(10**7)
        assert plant.closest >= -1e-6, (seed, number, plant.where)
        if not number:
            most = {m.step: m.most for m in [*table.once, *table.steps]}
            for step, dwell, _ in plant.dwells:
                limit = most[step]
                # Every motion before may have been late by some scans.
                lag = 3 * SCAN * len(plant.dwells)
                assert limit is None or dwell <= limit * plant.per + lag, (seed, step, dwell)


@pytest.mark.quick
def test_no_delay_leads_two_hoists_too_close_or_to_wait_for_each_other() -> None:
    """All orders of leaving and arriving that the releases allow, and hoists late at random."""
    assert _tried(range(1, 9)) >= 8


@pytest.mark.long
def test_no_delay_does_so_on_many_lines() -> None:
    assert _tried(range(9, 409)) >= 350


def test_the_example_is_run_with_delays() -> None:
    problem, made = example()
    table = several_programme_table(problem, made)
    _no_order_is_wrong(0, problem, table)
    _no_delay_is_wrong(0, problem, table, 3)


def test_no_release_is_too_many() -> None:
    """Without any one of those that wait for an arrival some order leads two too close."""
    problem, made = example()
    table = several_programme_table(problem, made)
    waits = 0
    for release, lacking in without_one(table, "once"):
        if release.left is None:
            waits += 1
            assert Interleavings(problem, lacking).all().too_close, release
    assert waits >= 5


def test_a_programme_goes_over_into_its_cycle_whatever_is_late() -> None:
    """The signals of the cycle name motions of the list where there is no cycle before."""
    count = backwards = 0
    for seed, problem, table in entering(range(1, 4)):
        several_text(problem, table, "csv")
        seen = hoistopt.replay_programme(problem, programme_of_lists(table, problem))
        assert seen.clean and seen.programme.repeats is not None
        assert seen.programme.repeats.every == table.cycle
        _no_order_is_wrong(seed, problem, table)
        _no_delay_is_wrong(seed, problem, table, 2)
        lifted = [motion for motion in table.once if (motion.feeds or 0) > len(table.once)]
        assert lifted, "the list leaves loads in the line"
        backwards += sum(r.cycles for h in table.hoists for m in h.motions for r in m.releases)
        count += 1
    assert count >= 3 and backwards


@pytest.mark.long
def test_many_programmes_go_over_into_their_cycles() -> None:
    count = 0
    for seed, problem, table in entering(range(6, 206)):
        _no_order_is_wrong(seed, problem, table)
        _no_delay_is_wrong(seed, problem, table, 2)
        count += 1
    assert count >= 180


STATE = """
[[hoist]]
name = "Upstream"
station = "Rinse 1"
free_in = 9
carries = { recipe = "Brackets", stage = 1 }

[[hoist]]
name = "Downstream"
position = 12.25
free_in = 0

[[standing]]
station = "Zinc 1"
recipe = "Brackets"
stage = 5
stood = [200, 230]
"""


def test_a_list_begins_with_what_stands_in_the_line(tmp_path: Path) -> None:
    problem, path = example()[0], tmp_path / "state.toml"
    path.write_text(STATE)
    made = hoistopt.plan(
        problem, state=hoistopt.read_state(path, problem), effort=Effort(20, 1)
    ).programme
    assert made is not None
    handed = sequencer_once(problem, made, ("csv", "json"), state=path)
    table = handed.table
    assert isinstance(table, SeveralTable)
    for text in handed.texts:
        assert "Hoist Upstream with load 2 of Brackets is free at Rinse 1 9 s after that" in text
        assert "has stood in Zinc 1 (stage 5) for 200 to 230 s" in text
    assert [m.motion for m in table.once if m.fed_by == m.step] and table.hoists[1].once
    _no_order_is_wrong(0, problem, table)
    _no_delay_is_wrong(0, problem, table, 2)
    path.write_text(STATE.replace('"Rinse 1"\n', '"Rinse 1"\nposition = 1.5\n', 1))
    with pytest.raises(InputError, match="on its way to Rinse 1: expected hoists at rest"):
        sequencer_once(problem, made, ("csv",), state=path)
