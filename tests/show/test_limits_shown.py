"""Many rows of one kind are told in one; what is not settled lies between two figures."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from rich.console import Console
from rich.table import Table

from hoistopt.analysis.levers.answer import Lever, Levers, Threshold
from hoistopt.conflict import UnsatisfiableSubset
from hoistopt.conflict.demands import Demand
from hoistopt.instance.limits import Limit
from hoistopt.show.conflict.table import subset_table
from hoistopt.show.levers.answer import LeversAnswer
from hoistopt.show.levers.table import lever_tables
from hoistopt.show.tables.counting import counted_kinds
from tests.helpers.lines.small_line import small_line


def text_of(table: Table) -> str:
    console = Console(width=120, color_system=None)
    with console.capture() as capture:
        console.print(table)
    return " ".join(capture.get().split())


def test_kinds_are_counted_in_words() -> None:
    assert counted_kinds(["move"] * 14 + ["min"] * 6) == "14 moves of the hoist and 6 minima"
    assert counted_kinds(["max", "drip", "max"]) == "2 maxima and 1 drip"


def test_rows_by_the_dozen_are_grouped() -> None:
    moves = [
        Demand("loaded", f"the hoist's time for the move from A{n} to B", "R", n) for n in range(14)
    ]
    minima = [Demand("minimum", f"the minimum of 10 s in A{n}", "R", n) for n in range(6)]
    longest = Demand("longest", "a cycle of at most 100 s")
    subset = UnsatisfiableSubset("conflict", (longest, *minima, *moves), (True,) * 21)
    table = subset_table(subset)
    assert table.row_count == 3
    text = text_of(table)
    assert "14 moves of the hoist: from A0 to B" in text and "6 minima" in text
    assert "a cycle of at most 100 s possible" in text
    few = UnsatisfiableSubset("conflict", (longest, *minima), (True,) * 7)
    assert subset_table(few).row_count == 7


def lever(**known: object) -> Lever:
    limit = Limit("min", "minimum of A", Decimal(100), Decimal(0), recipe="R", stage=1)
    facts: dict[str, object] = {
        "new": Decimal(90), "cycle_time": Fraction(190), "bound": Fraction(150),
        "gain_least": Fraction(10), "gain_most": Fraction(50), "how": "stopped",
        "threshold": Threshold(Decimal(99), Decimal(93)),
    }  # fmt: skip
    return Lever(limit, **{**facts, **known})  # type: ignore[arg-type]


def test_what_is_not_settled_says_between_which_values() -> None:
    found = Levers("optimal", 1, "s", Fraction(200), Fraction(200), (lever(),), loads_per_cycle=1)
    (table,) = lever_tables(found)
    # 3600 / 190 - 3600 / 200 and 3600 / 150 - 3600 / 200 loads an hour.
    row = "minimum of A 100 90 190 10 0.95 50 93 99"
    assert row in text_of(table)
    answer = LeversAnswer(small_line(), found)
    assert any(
        "at least the one and at most the other" in sentence for sentence in answer.sentences()
    )
    settled = lever(bound=Fraction(190), gain_most=Fraction(10))
    found = Levers("optimal", 1, "s", Fraction(200), Fraction(200), (settled,), loads_per_cycle=1)
    assert "minimum of A 100 90 190 10 0.95 93 99" in text_of(lever_tables(found)[0])


def test_a_lever_that_is_not_known_to_gain_has_no_row_but_is_told_of() -> None:
    idle = lever(cycle_time=Fraction(200), gain_least=Fraction(0))
    found = Levers("optimal", 1, "s", Fraction(200), Fraction(200), (idle,), loads_per_cycle=1)
    assert lever_tables(found) == []
    told = " ".join(LeversAnswer(small_line(), found).sentences())
    assert "between 0 and 50 s: minimum of A from 100 to 90." in told
