"""The printed sheet of several hoists: a page for each, with its own table and check sum."""

from __future__ import annotations

import pytest

from hoistopt.app.machine.sequencer import sequencer
from hoistopt.app.machine.sheet import sheet
from hoistopt.exports.several.formats.words import APART
from hoistopt.exports.several.members import check_sum
from hoistopt.show.sheet.layout import laid_out
from tests.helpers.hoists.several_tables import example, example_table
from tests.helpers.shown.sheets import read_html


@pytest.mark.quick
def test_each_hoist_has_a_page_with_its_motions() -> None:
    problem, schedule = example()
    _, table = example_table()
    printed = sheet(problem, schedule, ("pdf", "html"))
    pdf, html = printed.files
    assert isinstance(pdf, bytes) and isinstance(html, str)
    sheets = (printed.sheet, *printed.more)
    assert pdf.count(b"/Type /Page ") == printed.pages == len(table.hoists) == len(sheets)
    for one, hoist in zip(sheets, table.hoists, strict=True):
        assert one.hoist == f"{hoist.number} ({hoist.name})"
        assert [row.motion for row in one.steps] == [m.motion for m in hoist.motions]
        assert [row.step for row in one.steps] == [m.step or None for m in hoist.motions]
        # Every release stands in its row, and nothing where there is none.
        for row, motion in zip(one.steps, hoist.motions, strict=True):
            count = 0 if row.after == "-" else len(row.after.split(" "))
            assert count == len(motion.releases)
        assert one.table_sum == check_sum(table, hoist)
    assert [page.number for page in laid_out(*sheets)] == [1, 2]
    text = " ".join(read_html(html).text.split())
    for caution in APART:
        assert text.count(caution) == len(table.hoists)
    for hoist in table.hoists:
        assert f"Hoist {hoist.number} ({hoist.name})" in text


def test_what_is_handed_over_says_who_follows() -> None:
    problem, schedule = example()
    handed = sequencer(problem, schedule, ("json",))
    _, table = example_table()
    (moved, signals) = handed.sentences()
    assert f"the cycle time 269300 becomes {table.cycle} ms" in moved
    assert f", {len(table.following())} of them to follow" in signals
    assert APART[0] in handed.cautions()
