"""Numbers as people read them: no float noise, no exponents."""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hoistopt.base.numbers.decimals import (
    as_decimal,
    mean_decimal,
    on_point,
    per_cent,
    significant,
    told,
)


@pytest.mark.parametrize(
    ("value", "digits", "shown"),
    [
        # The first is what `.3g` writes as 1.91e+03.
        (1906.3, 3, "1906"),
        (12345678.9, 4, "12345679"),
        (788.8441, 6, "788.844"),
        (0.000012345, 2, "0.000012"),
        (9.996, 3, "10"),
        (10, 3, "10"),
        (100, 2, "100"),
        (-0.0, 3, "0"),
        (0, 3, "0"),
        (F(1, 3), 4, "0.3333"),
    ],
)
def test_significant_figures_are_written_out(value: float | F, digits: int, shown: str) -> None:
    assert significant(value, digits) == shown


@given(st.floats(-1e9, 1e9, allow_subnormal=False), st.integers(1, 9))
def test_they_agree_with_the_general_format_wherever_that_has_no_exponent(
    value: float, digits: int
) -> None:
    text, general = significant(value, digits), f"{value:.{digits}g}"
    assert "e" not in text
    if "e" not in general:
        assert float(text) == float(general)
    else:
        assert float(text) == pytest.approx(value, rel=10.0 ** (1 - digits))


@pytest.mark.parametrize(
    ("value", "shown"),
    [
        (F(3, 2), "1.5"),
        (F(1234567), "1234567"),
        (1234567.25, "1234567.25"),
        (787.2, "787.2"),
        (234, "234"),
        (234.0, "234"),
        (0.1, "0.1"),
        (1e-9, "0.000000001"),
        (F(2, 3), "0.666667"),
    ],
)
def test_times_are_told_in_full(value: F | float, shown: str) -> None:
    assert told(value) == shown


def test_a_grid_finer_than_what_is_shown_rounds_the_safe_way_too() -> None:
    """A seventh and a fifteenth of a unit, on grids of sevenths and fifteenths."""
    assert str(as_decimal(F(1, 7), F(1, 7))) == "0.142858"
    assert str(as_decimal(F(1, 7), F(1, 7), "down")) == "0.142857"
    assert str(as_decimal(F(1, 15), F(1, 15))) == "0.066667"
    assert str(as_decimal(F(1, 15), F(1, 15), "down")) == "0.066666"


def test_decimal_points_line_up() -> None:
    cells = on_point(["787.2", "1", "-", "4.5731"])
    assert [cell.strip() for cell in cells] == ["787.2", "1", "-", "4.5731"]
    assert len({len(cell) for cell in cells}) == 1
    ends = {cell.index(".") for cell in cells if "." in cell}
    assert len(ends) == 1
    # A whole number ends where the others have their points.
    assert {len(cell.rstrip()) for cell in cells if "." not in cell} == ends


@pytest.mark.parametrize(
    ("mean", "tick", "shown"),
    [
        (F(6649, 30), F(1, 10), "221.633"),
        (F(11201, 60), F(1, 10), "186.683"),
        (F(5, 8), F(1), "0.625"),
        (F(2, 3), F(1, 10**6), "0.666666"),
    ],
)
def test_a_mean_is_exact_or_a_hundredth_of_a_tick_and_never_more_than_it_is(
    mean: F, tick: F, shown: str
) -> None:
    assert f"{mean_decimal(mean, tick):f}" == shown
    assert 0 <= mean - F(shown) < tick / 100 or tick == F(1, 10**6)


@pytest.mark.parametrize(("share", "shown"), [(-0.0004, "0.0"), (-0.0006, "-0.1"), (0.0, "0.0")])
def test_a_share_that_rounds_to_nothing_has_no_sign(share: float, shown: str) -> None:
    assert per_cent(share, places=1) == shown
