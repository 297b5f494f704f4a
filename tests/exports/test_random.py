"""The function block on random lines of every feature, against the checker's replay.

The lines are those on which solver, checker and brute force are compared (reference).
"""

from __future__ import annotations

from functools import cache

import pytest

import hoistopt
from hoistopt.base.errors import InputError
from hoistopt.exports import FORMATS, SequencerStyle, export_text, sequencer_table
from hoistopt.exports.readback.proof import schedule_of
from hoistopt.problem import Problem
from hoistopt.schedule import Schedule
from tests.helpers.block.late_block import shown
from tests.helpers.block.plant import Plant
from tests.helpers.block.sequenced import last_load, refitted, starts_in
from tests.helpers.usual import first
from tests.reference.lines import FAMILIES

SEEDS = first(3, range(5))


@cache
def lines_of(family: str, seeds: range) -> list[tuple[Problem, Schedule]]:
    found = []
    for seed in seeds:
        line = FAMILIES[family](seed)
        try:
            schedule = hoistopt.solve(line.problem, line.degree, workers=1).schedule
        except InputError:  # a window narrower than a tick
            continue
        if schedule is not None:
            found.append((line.problem, schedule))
    assert found
    return found


@pytest.mark.parametrize("seeds", SEEDS)
@pytest.mark.parametrize("family", FAMILIES)
def test_fills_runs_and_runs_out_as_replayed(family: str, seeds: range) -> None:
    for problem, schedule in lines_of(family, seeds):
        table = sequencer_table(problem, schedule, "ms", "list", 1)
        seen = hoistopt.replay(problem, schedule_of(problem, table))
        running = Plant(refitted(table), problem, table)
        last = last_load(seen, problem)
        running.admit = lambda now, last=last: now <= last
        running.run(seen.cycles * table.cycle)
        assert running.started == starts_in(seen, problem), problem.name
        for name in ("Late", "Alarm", "Overstay", "CarrierMissing"):
            assert not shown(running, name), problem.name


@pytest.mark.parametrize("seeds", first(2, range(5)))
@pytest.mark.parametrize("family", FAMILIES)
def test_exported_in_every_unit_and_format_or_refused(family: str, seeds: range) -> None:
    refused: list[tuple[str, bool]] = []
    for problem, schedule in lines_of(family, seeds):
        for unit in ("ms", "ds", "s", "min"):
            try:
                table = sequencer_table(problem, schedule, unit)
            except InputError as error:
                refused.append((unit, "finer" in str(error)))
                continue
            for form in FORMATS:
                export_text(problem, table, form, SequencerStyle(tags="numbers"))
    # Times of these lines are in tenths of a second at the finest, but for the roots.
    assert {unit for unit, _ in refused} <= {"s", "min"}
    assert all(advised for _, advised in refused)
