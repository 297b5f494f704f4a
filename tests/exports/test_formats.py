"""The exported files as others read them.

Outside sources: the XML schema published by PLCopen (tests/standards), with lxml to
validate; Python's own csv, json and ElementTree as readers. The structured text is parsed
by the IEC 61131-3 grammar of blark (PyPI).
"""

from __future__ import annotations

import csv
import io
import json
import re
from datetime import UTC, datetime
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from lxml import etree

from hoistopt.exports import FORMATS, SequencerStyle, export_text
from tests.helpers.block.sequenced import (
    HOSTILE,
    crowded,
    dryer,
    hostile_table,
    machine_of,
    returning,
    solved,
    table_of,
)

ALL_FORMATS = pytest.mark.parametrize("form", FORMATS)
CREATED = datetime(2030, 1, 2, 3, 4, 5, tzinfo=UTC)
STYLES = [
    SequencerStyle(created=CREATED),
    SequencerStyle("Line_7", "numbers", "routine", 60, CREATED),
]
SCHEMA = Path(__file__).parents[1] / "standards" / "tc6_xml_v201.xsd"
PLC = "{http://www.plcopen.org/xml/tc6_0201}"
XHTML = "{http://www.w3.org/1999/xhtml}"


# -- what stands in the files -------------------------------------------------------------


@pytest.mark.parametrize("style", STYLES, ids=["initial", "routine"])
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
        ("max_dwell [s]", "most"),
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
        assert (row["alarm_limit_s"], row["max_dwell_s"]) == (step.alarm, step.most)


@pytest.mark.parametrize("line", ["dryer", "crowded", "returning"])
def test_structured_text_holds_the_table_in_ms(line: str) -> None:
    table, machine = machine_of(line)
    per, found = table.unit.milliseconds, machine["Table"]
    assert found["CycleTime_ms"] == table.cycle * per
    for step in table.steps:
        row = found["Steps"][step.step]
        assert (row["PickStation"], row["PlaceStation"]) == (step.pick, step.place)
        assert (row["FedByStep"], row["FeedsStep"]) == (step.fed_by or 0, step.feeds or 0)
        assert row["PlannedStart_ms"] == step.start * per
        assert row["LatestStart_ms"] == step.latest * per
        assert (row["AlarmLimited"], row["AlarmLimit_ms"]) == (
            step.alarm is not None,
            (step.alarm or 0) * per,
        )
        assert row["ClockLimit_ms"] == step.clock_limit * per
        assert (row["MinDwell_ms"], row["MaxDwell_ms"]) == (
            step.least * per,
            (step.most or 0) * per,
        )
        assert row["Drip_ms"] == step.drip * per


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


@pytest.mark.parametrize("style", STYLES, ids=["initial", "routine"])
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
    bodies = [body.text for body in root.iterfind(f".//{PLC}body/{PLC}ST/{XHTML}p")]
    assert len(bodies) == 2
    for body in bodies:
        assert body is not None
        assert body in program
    # Each block declares what the structured text declares, in sections of the same kind.
    pous = root.findall(f".//{PLC}pou")
    for pou, text in zip(pous, program.split("FUNCTION_BLOCK ")[1:], strict=False):
        assert text.startswith(str(pou.get("name")))
        declared = {v.get("name") for v in pou.iterfind(f"{PLC}interface/*/{PLC}variable")}
        assert declared == set(re.findall(r"^    (\w+) : ", text, re.MULTILINE))
    types = {t.get("name") for t in root.iterfind(f".//{PLC}dataType")}
    assert types == set(re.findall(r"^TYPE (\w+)", program, re.MULTILINE))
    assert root.find(f".//{PLC}fileHeader").get("creationDateTime").endswith("Z")  # type: ignore[union-attr]
