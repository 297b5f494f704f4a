"""Tables and figures of a schedule, against values worked out by hand."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction as F
from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hoistopt.analysis.figures import report
from hoistopt.base.numbers.decimals import as_decimal
from hoistopt.checker import Refused
from hoistopt.checker.record import Violation
from tests.helpers.lines.small_line import small_line, small_replay, small_report, small_schedule

pytestmark = pytest.mark.quick

# -- numbers -----------------------------------------------------------------------


@given(st.integers(-(10**12), 10**12), st.integers(0, 6))
def test_short_decimals_are_exact(digits: int, places: int) -> None:
    time = F(digits, 10**places)
    shown = as_decimal(time, F(1, 10))
    assert F(shown) == time
    assert "E" not in f"{shown:f}"


@given(
    st.fractions(0, 1000, max_denominator=10**12),
    st.sampled_from([F(1), F(1, 10), F(3, 10), F(1, 1000)]),
)
def test_other_times_are_rounded_to_the_tick_never_the_wrong_way(time: F, tick: F) -> None:
    up, down = F(as_decimal(time, tick)), F(as_decimal(time, tick, "down"))
    assert down <= time <= up
    assert up - down in (0, tick)


def test_a_square_root_is_shown_rounded_up() -> None:
    """2 * sqrt(d/a) for d = 1, a = 3, to 50 digits, from Python's decimal."""
    root = F("1.15470053837925152901829756100391491129520350254025")
    assert abs(float(root) - 2 * sqrt(1 / 3)) < 1e-15
    assert str(as_decimal(root, F(1, 10))) == "1.2"
    assert str(as_decimal(root, F(1, 10), "down")) == "1.1"


def test_the_noise_of_a_square_root_does_not_cost_a_tick() -> None:
    assert as_decimal(F(3) + F(1, 10**40), F(1, 10)) == 3
    assert as_decimal(F(3) - F(1, 10**40), F(1, 10), "down") == 3


# -- figures -----------------------------------------------------------------------


def test_figures_by_hand() -> None:
    found = small_report().figures
    assert found.time_per_load == 65
    assert found.loads_per_hour == pytest.approx(3600 / 65)
    assert (found.in_process_least, found.in_process_most) == (0, 1)
    assert found.in_process_mean == pytest.approx(56.5 / 65, abs=1e-3)
    assert found.hoist_loaded == pytest.approx(26 / 65, abs=1e-4)
    assert found.hoist_empty == pytest.approx(4 / 65, abs=1e-4)
    assert found.hoist_waiting == pytest.approx(35 / 65, abs=1e-4)
    assert (found.carriers_needed, found.carriers_available) == (1, 3)


def test_figures_come_from_the_steady_cycles_only() -> None:
    problem = small_line()
    seen = small_replay(problem)
    # The first cycle has no empty travel; counting it would lower the share.
    with_filling = replace(seen, steady_from=0, steady_cycles=3)
    schedule = small_schedule(problem)
    assert report(problem, schedule, with_filling).figures.hoist_empty == pytest.approx(
        8 / 195, abs=1e-4
    )
    assert report(problem, schedule, seen).figures.hoist_empty == pytest.approx(4 / 65, abs=1e-4)


def test_loads_that_entered_before_the_steady_cycles_are_counted() -> None:
    """A load that stays for more than a cycle: two in process part of the time."""
    problem = small_line()
    seen = small_replay(problem)
    # Each load leaves a cycle later: in process from 0 to 121.5, so 1 always and 2 for 56.5.
    later = [
        replace(run, start=run.start + 65, end=run.end + 65) if run.step == 2 else run
        for run in seen.runs
    ]
    found = report(problem, small_schedule(problem), replace(seen, runs=tuple(later))).figures
    assert (found.in_process_least, found.in_process_most) == (1, 2)
    assert found.in_process_mean == pytest.approx(121.5 / 65, abs=1e-3)


def test_no_steady_cycle_is_no_report() -> None:
    problem = small_line()
    with pytest.raises(ValueError, match="steady"):
        report(problem, small_schedule(problem), replace(small_replay(problem), steady_cycles=0))


def test_a_refused_schedule_has_no_report() -> None:
    problem = small_line()
    broken = Violation("window", "too long", "Bath", 2, 1, F(1))
    seen = replace(small_replay(problem), violations=(broken,))
    with pytest.raises(Refused, match="refuses"):
        report(problem, small_schedule(problem), seen)


# -- steps and dwells --------------------------------------------------------------


def test_steps_by_hand() -> None:
    first, second = small_report().steps
    assert (first.step, first.start, first.source, first.target) == (1, 0, "In", "Bath")
    assert (first.came_from, first.empty, first.wait) == ("Out", 4, Decimal("4.5"))
    assert (first.loaded, first.drip, first.dwell, first.label) == (12, 0, None, "In")
    assert (second.start, second.empty, second.wait) == (Decimal("42.5"), 0, Decimal("30.5"))
    assert (second.loaded, second.drip, second.dwell) == (14, 2, Decimal("30.5"))
    assert (first.boundaries, second.boundaries) == (None, 0)


def test_empty_travel_wait_and_loaded_moves_fill_the_cycle() -> None:
    rows = small_report().steps
    assert sum(row.empty + row.wait + row.loaded for row in rows) == 65


def test_boundaries_are_counted_where_the_table_does_not_say() -> None:
    problem = small_line()
    seen = small_replay(problem)
    later = [
        replace(run, start=run.start + 65, end=run.end + 65) if run.step == 2 else run
        for run in seen.runs
    ]
    rows = report(problem, small_schedule(problem), replace(seen, runs=tuple(later))).steps
    assert [row.boundaries for row in rows] == [None, 1]


def test_dwells_by_hand() -> None:
    (row,) = small_report().dwells
    assert (row.dwell, row.least, row.most) == (Decimal("30.5"), 30, 60)
    assert (row.margin_min, row.margin_max) == (Decimal("0.5"), Decimal("29.5"))
    assert row.tightest == Decimal("0.5")


def test_margins_are_the_worst_of_all_steady_cycles() -> None:
    problem = small_line()
    seen = small_replay(problem)
    longer = [replace(stay, until=(stay.until or 0) + stay.carrier) for stay in seen.stays]
    (row,) = report(problem, small_schedule(problem), replace(seen, stays=tuple(longer))).dwells
    # Carriers 1 and 2 leave in the steady cycles, after 31.5 and 32.5.
    assert (row.dwell, row.margin_min, row.margin_max) == (
        Decimal("31.5"),
        Decimal("1.5"),
        Decimal("27.5"),
    )
