"""No cell of a CSV file is run by a spreadsheet, and every text comes back as it was."""

from __future__ import annotations

import csv
import io

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from hoistopt.base.cells import guarded, note_lines, unguarded, without_notes

# What a spreadsheet takes for the beginning of a formula or a command: the list of OWASP,
# "CSV Injection", and the wide forms of the same signs.
STARTS = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
NASTY = st.text(st.sampled_from("=+-@'\"\\;\t\r\n ,u003bU\uff1d\uff0b\uff0d\uff20#é洗"))


@given(st.one_of(st.text(), NASTY))
@example("=1")
@example("'=1")
@example("''=1")
@example("'")
@example("\\u003b")
@example("a;=1")
@example('a, b; "=1')
def test_a_guarded_text_comes_back_and_begins_no_formula(text: str) -> None:
    cell = guarded(text)
    assert unguarded(cell) == text
    line = io.StringIO()
    csv.writer(line, lineterminator="").writerow([7, cell, "end"])
    for delimiter in ",;\t":
        for found in next(csv.reader([line.getvalue()], delimiter=delimiter), []):
            assert not found.strip(" ").startswith(STARTS)


def test_a_formula_and_a_text_like_a_guarded_one_stay_apart() -> None:
    assert guarded("=1") == "'=1"
    assert guarded("'=1") == "''=1"
    assert unguarded("'=1") == "=1"


@pytest.mark.parametrize("text", ["Wash", "5 % acid", "A;B", "a\\b", "浴", "x'y"])
def test_usual_names_are_written_as_they_are(text: str) -> None:
    assert guarded(text) == text
    assert unguarded(f"'{text}") == f"'{text}"


def test_notes_stand_above_the_header_and_are_left_out() -> None:
    notes = ["CAUTION. One, with a comma.", 'Two "quoted".']
    text = note_lines(notes) + "a,b\n#1,2\n"
    rows = list(csv.reader(io.StringIO(text)))
    assert rows[:2] == [[f"# {note}"] for note in notes]
    assert [row for row in csv.reader(io.StringIO(without_notes(text))) if row] == [
        ["a", "b"],
        ["#1", "2"],
    ]
    assert without_notes('"# saved again",,;\r\na,b\n').strip() == "a,b"
