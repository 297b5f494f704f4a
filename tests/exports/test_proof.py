"""No file is written unless what stands in it, read back, is what was meant and is replayed."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import pytest

from hoistopt.base.errors import InputError
from hoistopt.exports import (
    FORMATS,
    ExportFailed,
    SequencerStyle,
    export_text,
    format_of,
    write_sequencer,
)
from hoistopt.exports.readback import prove
from tests.helpers.block.sequenced import hostile_table

pytestmark = pytest.mark.quick

ALL_FORMATS = pytest.mark.parametrize("form", FORMATS)
CREATED = datetime(2030, 1, 2, 3, 4, 5, tzinfo=UTC)
STYLES = [
    SequencerStyle(created=CREATED),
    SequencerStyle("Line_7", "numbers", "routine", 60, CREATED),
]


# -- the proof ------------------------------------------------------------------------------

CHANGES = {
    "csv": [
        ("\n2,2,3,", "\n2,2,1,"),
        (",14,14,", ",15,15,"),
        ("cycle_time [s],95", "cycle_time [s],96"),
        ("latest_start [s]", "latest_start [ms]"),
        ("check_sum [number],", "check_sum [number],1"),
    ],
    "json": [
        ('"planned_start_s": 14', '"planned_start_s": 15'),
        ('"s": "whole', '"ms": "whole'),
        ('"number": 2', '"number": 9'),
        ('"boundaries": 2', '"boundaries": 1'),
        ('"check_sum": ', '"check_sum": 1'),
    ],
    "st": [
        ("PlannedStart_ms := 14000", "PlannedStart_ms := 15000"),
        ("CycleTime_ms := 95000", "CycleTime_ms := 96000"),
        ("(* station 1 =", "(* station 9 ="),
        ("FedByStep := 6", "FedByStep := 5"),
        ("PickStation := 2", "PickStation :="),
        ("(* unit = s *)", "(* unit = ds *)"),
        ("AlarmLimited := TRUE", "AlarmLimited := FALSE"),
        ("CheckSum := ", "CheckSum := 1"),
        ("LastStep := 6", "LastStep := 5"),
    ],
    "xml": [
        ('value="14000"', 'value="15000"'),
        ('value="95000"', 'value="96000"'),
        ("PickStation", "PickPlace"),
        ("</project>", ""),
        ("unit = s", "unit = min"),
    ],
}


@pytest.mark.parametrize(
    ("form", "change"), [(form, change) for form, changes in CHANGES.items() for change in changes]
)
def test_a_file_that_says_something_else_is_not_written(form: str, change: tuple[str, str]) -> None:
    problem, table = hostile_table()
    text = export_text(problem, table, form, STYLES[0])
    right, wrong = change
    assert right in text
    prove(problem, table, text, form)
    with pytest.raises(ExportFailed, match=form):
        prove(problem, table, text.replace(right, wrong), form)


@ALL_FORMATS
def test_a_table_the_checker_refuses_is_not_written(form: str, tmp_path: Path) -> None:
    problem, table = hostile_table()
    steps = list(table.steps)
    steps[1] = replace(steps[1], start=steps[1].start + 9, latest=steps[1].latest + 9)
    target = tmp_path / f"out.{form}"
    with pytest.raises(ExportFailed, match="checker refuses"):
        write_sequencer(problem, replace(table, steps=tuple(steps)), target)
    assert not list(tmp_path.iterdir())


@ALL_FORMATS
@pytest.mark.parametrize(
    ("field", "value"),
    [("least", 10_000), ("most", 1), ("drip", 60), ("boundaries", 0), ("fed_by", 4)],
)
def test_windows_drips_and_boundaries_of_the_file_are_replayed_too(
    form: str, field: str, value: int
) -> None:
    # The starts are right, but a controller that keeps these values could not follow them.
    problem, table = hostile_table()
    steps = list(table.steps)
    steps[5] = replace(steps[5], **{field: value})
    if field == "least":
        steps[5] = replace(steps[5], most=20_000)
    if field == "most":
        steps[5] = replace(steps[5], least=0)
    with pytest.raises(ExportFailed):
        export_text(problem, replace(table, steps=tuple(steps)), form)


# -- files --------------------------------------------------------------------------------------


@ALL_FORMATS
def test_files_are_written_whole(form: str, tmp_path: Path) -> None:
    problem, table = hostile_table()
    target = tmp_path / f"out.{form.upper()}"
    write_sequencer(problem, table, target, STYLES[0])
    assert target.read_text(encoding="utf-8") == export_text(problem, table, form, STYLES[0])
    assert [path.name for path in tmp_path.iterdir()] == [target.name]


@pytest.mark.parametrize("name", ["out", "out.exe", "out.st.bak", ".st", "out.", "st"])
def test_unknown_formats_are_refused(name: str, tmp_path: Path) -> None:
    problem, table = hostile_table()
    with pytest.raises(InputError, match=re.escape(".st (structured text)")):
        format_of(name)
    with pytest.raises(InputError, match="ends in"):
        write_sequencer(problem, table, tmp_path / name)
    with pytest.raises(InputError, match="csv, json, st, xml"):
        export_text(problem, table, f".{name}")
    assert not list(tmp_path.iterdir())


def test_unwritable_targets_are_refused_before_anything_is_made(tmp_path: Path) -> None:
    problem, table = hostile_table()
    with pytest.raises(InputError, match="folder"):
        write_sequencer(problem, table, tmp_path / "missing" / "out.csv")
    (tmp_path / "folder.csv").mkdir()
    with pytest.raises(InputError, match="folder"):
        write_sequencer(problem, table, tmp_path / "folder.csv")
