"""The exported files: read by others, proved before they are written, safe with any name.

Outside sources: the XML schema published by PLCopen (tests/standards), with lxml to
validate; Python's own csv, json and ElementTree as readers. The structured text is parsed
by an IEC 61131-3 grammar in test_exports_block.
"""

from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st
from lxml import etree
from sequenced import HOSTILE, crowded, dryer, machine_of, returning, solved, table_of

from hoistopt.errors import InputError
from hoistopt.exports import (
    FORMATS,
    ExportFailed,
    SequencerStyle,
    SequencerTable,
    export_text,
    format_of,
    sequencer_table,
    write_sequencer,
)
from hoistopt.exports.names import (
    for_cell,
    for_comment,
    from_cell,
    identifier,
    unescape,
    unique,
)
from hoistopt.exports.readback import prove
from hoistopt.exports.st_types import Dialect
from hoistopt.problem import Problem

SCHEMA = Path(__file__).parent / "standards" / "tc6_xml_v201.xsd"
PLC = "{http://www.plcopen.org/xml/tc6_0201}"
XHTML = "{http://www.w3.org/1999/xhtml}"
CREATED = datetime(2030, 1, 2, 3, 4, 5, tzinfo=UTC)
STYLES = [SequencerStyle(created=CREATED), SequencerStyle("time", "Line_7", "numbers", CREATED)]
ALL_FORMATS = pytest.mark.parametrize("form", FORMATS)


def hostile_table() -> tuple[Problem, SequencerTable]:
    problem, _ = solved(crowded, True)
    return problem, table_of(crowded, "s", True)


# -- what stands in the files -------------------------------------------------------------


@pytest.mark.parametrize("style", STYLES, ids=["dint", "time"])
@pytest.mark.parametrize(
    ("make", "unit"), [(dryer, "s"), (crowded, "s"), (returning, "ms")], ids=lambda x: str(x)[:12]
)
@ALL_FORMATS
def test_every_file_is_read_back_and_replayed(
    form: str, make, unit: str, style: SequencerStyle
) -> None:
    problem, _ = solved(make)
    table = table_of(make, unit)
    text = export_text(problem, table, form, style)
    assert text == export_text(problem, table, form, style)
    assert text.endswith("\n")
    assert "\r" not in text


@ALL_FORMATS
def test_cautions_stand_at_the_head(form: str) -> None:
    problem, table = hostile_table()
    head = " ".join(re.sub(r"[^\w ,;:.]", " ", export_text(problem, table, form)[:900]).split())
    for part in (
        "planning aid, not a safety function",
        "interlocks, guarding and dwell watchdogs stay in the machine",
        "reduced speed without load",
        "local codes and licensed practice decide",
    ):
        assert part in head


def test_csv_names_the_unit_of_every_column() -> None:
    problem, table = hostile_table()
    rows = list(csv.reader(io.StringIO(export_text(problem, table, "csv"))))
    start = next(n for n, row in enumerate(rows) if row and row[0].startswith("step"))
    header = rows[start]
    assert header[-2:] == ["pick_name", "place_name"]
    units = {re.fullmatch(r"\w+ \[(.+)\]", title)[1] for title in header[:-2]}  # type: ignore[index]
    assert units == {"number", "cycles", "1 = yes", "s"}
    columns = dict(zip(header, zip(*rows[start + 1 :], strict=True), strict=True))
    for title, attribute in (
        ("planned_start [s]", "start"),
        ("latest_start [s]", "latest"),
        ("alarm_limit [s]", "alarm"),
        ("drip [s]", "drip"),
        ("pick_station [number]", "pick"),
        ("boundaries [cycles]", "boundaries"),
        ("greatest_dwell [s]", "most"),
        ("fed_by_step [number]", "fed_by"),
    ):
        given_ = [getattr(step, attribute) for step in table.steps]
        assert list(columns[title]) == ["" if value is None else str(value) for value in given_]


def test_json_names_the_unit_of_every_time() -> None:
    problem, table = hostile_table()
    data = json.loads(export_text(problem, table, "json"))
    assert data["cycle_time_s"] == table.cycle
    assert data["line"] == table.line
    names = [HOSTILE[key] for key in ("In", "Hot", "Rinse", "Out")]
    assert [entry["name"] for entry in data["stations"]] == names
    assert set(data["fields"]) == set(data["steps"][0])
    assert data["rules"]["fill"].startswith("Skip a step")
    for row, step in zip(data["steps"], table.steps, strict=True):
        assert (row["planned_start_s"], row["latest_start_s"]) == (step.start, step.latest)
        assert (row["alarm_limit_s"], row["greatest_dwell_s"]) == (step.alarm, step.most)


@pytest.mark.parametrize("line", ["dryer", "crowded", "returning"])
def test_structured_text_holds_the_table(line: str) -> None:
    table, machine = machine_of(line)
    suffix = {"dryer": "_ds", "crowded": "_s", "returning": ""}[line]
    per = table.unit.milliseconds if line == "returning" else 1
    assert machine[f"CycleTime{suffix}"] == table.cycle * per
    for step in table.steps:
        row = machine["Steps"][step.step]
        assert (row["PickStation"], row["PlaceStation"]) == (step.pick, step.place)
        assert (row["FedByStep"], row["FeedsStep"]) == (step.fed_by or 0, step.feeds or 0)
        assert row[f"PlannedStart{suffix}"] == step.start * per
        assert row[f"LatestStart{suffix}"] == step.latest * per
        assert (row["AlarmLimited"], row[f"AlarmLimit{suffix}"]) == (
            step.alarm is not None,
            (step.alarm or 0) * per,
        )
        assert row[f"Drip{suffix}"] == step.drip * per


def test_structured_text_is_plain_ascii_with_short_lines() -> None:
    problem, table = hostile_table()
    text = export_text(problem, table, "st")
    assert text.isascii()
    lines = text.splitlines()
    assert max(len(line) for line in lines if "(* " not in line) <= 100
    assert "//" not in re.sub(r"\(\*.*?\*\)", "", text)


# -- PLCopen XML ----------------------------------------------------------------------------


@pytest.fixture(scope="module")
def schema() -> etree.XMLSchema:
    return etree.XMLSchema(etree.parse(str(SCHEMA)))


@pytest.mark.parametrize("style", STYLES, ids=["dint", "time"])
@pytest.mark.parametrize("hostile", [False, True])
def test_xml_is_valid_by_the_published_schema(
    schema: etree.XMLSchema, hostile: bool, style: SequencerStyle
) -> None:
    problem, _ = solved(crowded, hostile)
    text = export_text(problem, table_of(crowded, "s", hostile), "xml", style)
    schema.assertValid(etree.fromstring(text.encode()))


def test_the_schema_is_no_formality(schema: etree.XMLSchema) -> None:
    problem, table = hostile_table()
    text = export_text(problem, table, "xml")
    for wrong in (
        text.replace("coordinateInfo", "coordinates"),
        text.replace("<INT />", "<WHOLE />"),
    ):
        assert not schema.validate(etree.fromstring(wrong.encode()))


def test_xml_holds_the_program_of_the_structured_text() -> None:
    problem, table = hostile_table()
    program = export_text(problem, table, "st")
    root = ET.fromstring(export_text(problem, table, "xml").encode())
    body = root.findtext(f".//{PLC}body/{PLC}ST/{XHTML}p")
    assert body is not None
    assert body in program
    declared = {v.get("name") for v in root.iterfind(f".//{PLC}interface//{PLC}variable")}
    start = program.index("FUNCTION_BLOCK")
    written = re.findall(r"^    (\w+) : ", program[start:], re.MULTILINE)
    assert declared == set(written)
    types = {t.get("name") for t in root.iterfind(f".//{PLC}dataType")}
    assert types == set(re.findall(r"^TYPE (\w+)", program, re.MULTILINE))
    assert root.find(f".//{PLC}fileHeader").get("creationDateTime").endswith("Z")  # type: ignore[union-attr]


# -- the proof ------------------------------------------------------------------------------

CHANGES = {
    "csv": [
        ("\n2,2,3,", "\n2,2,1,"),
        (",14,14,", ",15,15,"),
        ("cycle_time [s],95", "cycle_time [s],96"),
        ("latest_start [s]", "latest_start [ms]"),
    ],
    "json": [
        ('"planned_start_s": 14', '"planned_start_s": 15'),
        ('"s": "whole', '"ms": "whole'),
        ('"number": 2', '"number": 9'),
        ('"boundaries": 2', '"boundaries": 1'),
    ],
    "st": [
        ("PlannedStart_s := 14", "PlannedStart_s := 15"),
        ("CycleTime_s : DINT := 95", "CycleTime_s : DINT := 96"),
        ("(* station 1 =", "(* station 9 ="),
        ("FedByStep := 6", "FedByStep := 5"),
        ("PickStation := 2", "PickStation :="),
        ("(* unit = s *)", "(* unit = ds *)"),
        ("AlarmLimited := TRUE", "AlarmLimited := FALSE"),
    ],
    "xml": [
        ('value="14"', 'value="15"'),
        ('value="95"', 'value="96"'),
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
    ("field", "value"), [("least", 10_000), ("most", 1), ("drip", 60), ("boundaries", 0)]
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


# -- names ------------------------------------------------------------------------------------

FORMULA = ("=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20", "\t", "\r")
ANY_TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=40)
NASTY = st.text("*)('\"$;,:=+-@\\{}<>&|/ \n\r\t\u2028\u0085\uff1d5u0041éA浴", max_size=20)


@given(st.one_of(ANY_TEXT, NASTY))
def test_no_name_ends_a_comment(name: str) -> None:
    text = for_comment(name)
    assert unescape(text) == name
    assert text.isascii()
    assert text.isprintable()
    assert not re.search(r"\*|'|\"|\$|\{|\}|\n", text)


@given(st.one_of(ANY_TEXT, NASTY))
def test_no_name_becomes_a_formula_whatever_separates_the_cells(name: str) -> None:
    text = for_cell(name)
    assert from_cell(text) == name
    line = io.StringIO()
    csv.writer(line, lineterminator="").writerow([7, text, "end"])
    assert "\n" not in line.getvalue()
    for delimiter in (",", ";", "\t"):
        for cell in next(csv.reader([line.getvalue()], delimiter=delimiter), []):
            assert not cell.startswith(FORMULA)


def test_stations_may_have_any_name_the_problem_allows() -> None:
    problem, table = hostile_table()
    for form in FORMATS:
        text = export_text(problem, table, form)
        assert "*) END_VAR" not in text or form in ("csv", "json")
    for delimiter in (",", ";", "\t"):
        rows = csv.reader(export_text(problem, table, "csv").splitlines(), delimiter=delimiter)
        for cell in (cell for row in rows for cell in row):
            assert not cell.startswith(FORMULA)


@pytest.mark.parametrize(
    ("names", "expected"),
    [
        (["Anodise A", "anodise-a", "ANODISE_A"], ["Anodise_A", "anodise_a_2", "ANODISE_A_3"]),
        (["Spülen", "5 % acid", "浴"], ["Spulen", "5_acid", ""]),
        (["a_2", "a", "A"], ["a_2", "a", "A_3"]),
        (["__x__", "x--y"], ["x", "x_y"]),
    ],
)
def test_identifiers_are_made_of_letters_and_digits_and_differ(
    names: list[str], expected: list[str]
) -> None:
    assert unique([identifier(name) for name in names]) == expected


@given(st.lists(st.one_of(ANY_TEXT, NASTY), max_size=8))
def test_identifiers_are_always_legal(names: list[str]) -> None:
    found = unique([f"At_{identifier(name) or number}" for number, name in enumerate(names)])
    assert len({text.lower() for text in found}) == len(names)
    for text in found:
        assert re.fullmatch(r"[A-Za-z](_?[A-Za-z0-9])*", text)


def renamed(long: str) -> tuple[Problem, SequencerTable]:
    problem = crowded({"Rinse": long})
    _, schedule = solved(crowded)
    steps = tuple(
        replace(
            s,
            source=long if s.source == "Rinse" else s.source,
            target=long if s.target == "Rinse" else s.target,
        )
        for s in schedule
    )
    return problem, sequencer_table(problem, replace(schedule, steps=steps), "s")


@pytest.mark.parametrize("form", ["st", "xml"])
def test_names_too_long_for_the_target_are_refused(form: str) -> None:
    long = "Counterflow rinse behind the hot bath"
    problem, table = renamed(long)
    with pytest.raises(InputError, match=f'station "{long}".*at most 32.*--tags numbers'):
        export_text(problem, table, form)
    assert "At_2 " in export_text(problem, table, "st", SequencerStyle(tags="numbers"))
    export_text(problem, table, "csv")
    export_text(problem, table, "json")
    shortest = "R" * 29
    problem, table = renamed(shortest)
    assert f"At_{shortest} : INT" in export_text(problem, table, "st")


@pytest.mark.parametrize(
    ("style", "named"),
    [
        (SequencerStyle(block="x" * 40), "at most 32"),
        (SequencerStyle(block="7up"), '"up"'),
        (SequencerStyle(block="a b"), '"a_b"'),
        (SequencerStyle(block="a__b"), '"a_b"'),
        (SequencerStyle(block="a; END_TYPE"), '"a_END_TYPE"'),
        (SequencerStyle(block="Bänk"), '"Bank"'),
        (SequencerStyle(block=""), '"Hoist"'),
        (SequencerStyle(times="real"), "dint, time"),  # type: ignore[arg-type]
        (SequencerStyle(tags="codes"), "names, numbers"),  # type: ignore[arg-type]
    ],
)
def test_wrong_styles_are_refused(style: SequencerStyle, named: str) -> None:
    problem, table = hostile_table()
    for form in ("st", "xml"):
        with pytest.raises(InputError, match=named):
            export_text(problem, table, form, style)


def test_numbers_too_large_for_the_target_are_refused() -> None:
    _, table = hostile_table()
    Dialect(replace(table, cycle=1_000_000))
    with pytest.raises(InputError, match="1000000000 ms"):
        Dialect(replace(table, cycle=1_000_001))


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
