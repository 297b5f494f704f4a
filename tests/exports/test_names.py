"""Names of the user's do no harm in any format; those too long for one are refused."""

from __future__ import annotations

import csv
import io
import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hoistopt.base.cells import guarded, unguarded
from hoistopt.base.errors import InputError
from hoistopt.exports import FORMATS, SequencerStyle, SequencerTable, export_text, sequencer_table
from hoistopt.exports.formats.st_types import Dialect
from hoistopt.exports.names import for_comment, identifier, unique
from hoistopt.problem import Problem
from tests.helpers.block.sequenced import crowded, hostile_table, solved

pytestmark = pytest.mark.quick


# -- names ------------------------------------------------------------------------------------

FORMULA = ("=", "+", "-", "@", "\uff1d", "\uff0b", "\uff0d", "\uff20", "\t", "\r")
ANY_TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=40)
NASTY = st.text("*)('\"$;,:=+-@\\{}<>&|/ \n\r\t\u2028\u0085\uff1d5u0041éA浴", max_size=20)


@given(st.one_of(ANY_TEXT, NASTY))
def test_no_name_ends_a_comment(name: str) -> None:
    text = for_comment(name)
    assert for_comment(text) == text
    assert text.isascii()
    assert text.isprintable()
    assert not re.search(r"\*|'|\"|\$|\{|\}|\n", text)


@pytest.mark.parametrize(
    ("name", "comment"),
    [
        ("Spülbad Ä", "Spuelbad Ae"),
        ("Großes Öl-Bad", "Grosses Oel-Bad"),
        ("Rinçage à 60 °C", "Rincage a 60 degC"),
        ("Smørebad, łaźnia", "Smoerebad, laznia"),
        ("u\u0308ber", "ueber"),  # a letter and its dots as two signs
        ("浴 3", "? 3"),
        ("*) END_VAR (*", "_) END_VAR (_"),
        ("a\nb", "a_b"),
    ],
)
def test_comments_spell_names_in_ascii(name: str, comment: str) -> None:
    assert for_comment(name) == comment


@given(st.one_of(ANY_TEXT, NASTY))
def test_no_name_becomes_a_formula_whatever_separates_the_cells(name: str) -> None:
    text = guarded(name)
    assert unguarded(text) == name
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
        (["Spülen", "5 % acid", "浴"], ["Spuelen", "5_acid", ""]),
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
        (SequencerStyle(block="Bänk"), '"Baenk"'),
        (SequencerStyle(block=""), '"Hoist"'),
        (SequencerStyle(values="file"), "initial, routine"),  # type: ignore[arg-type]
        (SequencerStyle(room=0), "room = 0"),
        (SequencerStyle(room=3), "room = 3"),
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
    assert table.slots == 3
    Dialect(replace(table, cycle=133_333))
    with pytest.raises(InputError, match="400000000 ms"):
        Dialect(replace(table, cycle=133_334))
