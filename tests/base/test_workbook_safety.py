"""Workbooks made to hurt, or broken: one clear line, soon, and nothing in them is run."""

from __future__ import annotations

import sys
import tracemalloc
import zipfile
from pathlib import Path

import pytest

from hoistopt import InputError, load_problem, read_moves
from hoistopt.base.workbook.sheet import Column, Sheet
from hoistopt.base.workbook.writing import workbook_bytes
from tests.helpers.command import PROBLEMS
from tests.helpers.lines.small_line import small_line
from tests.helpers.shown.workbooks import changed, packed, parts_of, raw_cells

pytestmark = [pytest.mark.usefixtures("in_folder"), pytest.mark.quick]

LINE = Path("line.xlsx")


@pytest.fixture
def parts() -> dict[str, bytes]:
    load_problem(PROBLEMS / "three_tanks_dryer.toml").save(LINE)
    return parts_of(LINE)


def refusal(content: bytes, name: str = "line.xlsx", most: int = 60_000_000) -> str:
    Path(name).write_bytes(content)
    tracemalloc.start()
    with pytest.raises(InputError) as refused:
        load_problem(name)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < most
    told = str(refused.value)
    assert name in told and "\n" not in told
    return told


def test_a_zip_bomb_is_refused_before_it_is_unpacked(parts: dict[str, bytes]) -> None:
    bomb = packed({**parts, "xl/worksheets/sheet9.xml": b" " * 61_000_000})
    assert len(bomb) < 300_000
    assert "unpacks to at most 60 MB" in refusal(bomb)
    assert "unpacks to at most" in refusal(packed({**parts, "xl/styles.xml": b" " * 5_000_000}))
    many = {f"xl/worksheets/s{number}.xml": b"" for number in range(2_500)}
    assert "unpacks to at most" in refusal(packed({**parts, **many}))


def test_a_part_larger_than_the_package_says_is_refused(parts: dict[str, bytes]) -> None:
    """The sizes that the package states are those that are looked at: they must hold."""
    content = bytearray(packed({**parts, "xl/worksheets/sheet9.xml": b" " * 30_000_000}))
    with zipfile.ZipFile(LINE) as good:
        assert good.testzip() is None
    at = content.rfind(b"xl/worksheets/sheet9.xml") - 46  # its entry in the central directory
    assert content[at : at + 4] == b"PK\x01\x02"
    content[at + 24 : at + 28] = (100).to_bytes(4, "little")
    assert "a workbook that can be read" in refusal(bytes(content), most=25_000_000)


@pytest.mark.parametrize("code", ["utf-8", "utf-16"])
def test_declared_entities_are_refused(parts: dict[str, bytes], code: str) -> None:
    laughs = "".join(f'<!ENTITY a{n} "{f"&a{n - 1};" * 10}">' for n in range(1, 10))
    text = f'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a0 "ha">{laughs}]><x>&a9;</x>'
    assert "entities" in refusal(packed({**parts, "xl/worksheets/sheet1.xml": text.encode(code)}))


def test_macros_passwords_and_other_formats_are_refused(parts: dict[str, bytes]) -> None:
    assert "without macros" in refusal(packed({**parts, "xl/vbaProject.bin": b"x"}))
    whole = packed(dict(parts))
    for name in ("line.xlsm", "line.xls", "line.ods"):
        assert "ending in .xlsx" in refusal(whole, name)
    # The container of a workbook with a password, and of the older format: MS-CFB, 2.2.
    assert "without a password" in refusal(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 1_000)
    Path("folder.xlsx").mkdir()
    with pytest.raises(InputError, match="a file on disk"):
        load_problem("folder.xlsx")
    with pytest.raises(InputError, match="there is none"):
        load_problem("none.xlsx")


def test_what_is_broken_is_one_line(parts: dict[str, bytes]) -> None:
    whole = packed(dict(parts))
    assert "can be read" in refusal(b"")
    assert "can be read" in refusal(b"name = 'a TOML file'\n")
    for cut in (4, len(whole) // 2, len(whole) - 10):
        assert "can be read" in refusal(whole[:cut])
    for name in parts:
        if name.startswith("docProps") or "comments" in name or "drawing" in name.lower():
            continue
        refusal_or_line(packed({key: data for key, data in parts.items() if key != name}))
        refusal_or_line(packed({**parts, name: parts[name][: len(parts[name]) // 2]}))


def refusal_or_line(content: bytes) -> None:
    """What lies in a part that is not needed may be missing; anything else is one line."""
    LINE.write_bytes(content)
    told = ""
    try:
        load_problem(LINE)
    except InputError as error:
        told = str(error)
    assert (not told or "line.xlsx" in told) and "\n" not in told


def test_a_sheet_that_claims_to_be_endless_is_read_by_what_is_in_it(
    parts: dict[str, bytes],
) -> None:
    names = [name for name in parts if name.startswith("xl/worksheets/sheet")]
    for name in names:
        text = parts[name].decode()
        begin = text.index("<dimension")
        end = text.index("/>", begin)
        parts[name] = f'{text[:begin]}<dimension ref="A1:XFD1048576"{text[end:]}'.encode()
    LINE.write_bytes(packed(dict(parts)))
    assert load_problem(LINE) == load_problem(PROBLEMS / "three_tanks_dryer.toml")


def test_links_to_other_workbooks_are_not_followed(parts: dict[str, bytes]) -> None:
    parts["xl/externalLinks/externalLink1.xml"] = b"<broken"
    LINE.write_bytes(packed(dict(parts)))
    assert load_problem(LINE).name == "Three tanks and a dryer"


def test_a_formula_in_a_table_of_moves_is_named_by_its_cell(parts: dict[str, bytes]) -> None:
    def fill(book: object) -> None:
        sheet = book["Cycle"]  # type: ignore[index]
        for row in (
            (0, "Bench", "Wash", "Cases", None, None, None, 400),
            ('=HYPERLINK("http://x.invalid")', "Wash", "Rinse"),
        ):
            sheet.append(row)

    changed(LINE, fill)
    with pytest.raises(InputError, match=r"Cycle!A3 = =HYPERLINK.*not a formula"):
        read_moves(LINE, load_problem(LINE))


def test_text_is_never_a_formula_and_numbers_are_exact() -> None:
    rows = [
        ["=cmd|' /C calc'!A0", 12],
        ["+1", 0.5],
        ["@SUM(1)", None],
        ["-2", 10**15 + 1],
        ["_x0041_", 3],
    ]
    LINE.write_bytes(workbook_bytes([Sheet("A", [Column("text"), Column("number")], rows)], "T"))
    cells = raw_cells(LINE)
    assert [kind for kind, _ in cells if kind not in ("n", "inlineStr")] == []
    assert ("inlineStr", rows[0][0]) in cells and ("n", "0.5") in cells
    # Of more digits than a spreadsheet shows: as text. What looks like a code is written as one.
    assert ("inlineStr", "1000000000000001") in cells and ("inlineStr", "_x005F_x0041_") in cells


def test_without_the_library_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "openpyxl", None)
    for ask in (lambda: load_problem("line.xlsx"), lambda: small_line().save("line.xlsx")):
        with pytest.raises(InputError, match=r"pip install 'hoistopt\[workbook\]'"):
            ask()
    assert not LINE.exists()
