"""What scatters and how, drawn by its law; shares of loads and how sure they are."""

from __future__ import annotations

from math import log

import numpy as np
import pytest
from scipy.stats import binomtest, lognorm, triang, truncnorm

from hoistopt import InputError, Scatter, jitter
from hoistopt.base.numbers.shares import share_of, wilson
from hoistopt.checker import accepted
from hoistopt.graph.from_replay import timed_plan
from hoistopt.margin.jitter.replaying import draw_changes, grain_of
from hoistopt.problem.scatter import read_scatter
from tests.helpers.lines.checked_line import usual_line, usual_table
from tests.helpers.lines.small_line import small_line, small_schedule


@pytest.mark.parametrize(
    ("words", "law"),
    [
        ("move times triangular 0.9 1 1.3", triang(0.25, 0.9, 0.4)),
        ("move times normal 1 0.1", truncnorm(-3, 3, 1, 0.1)),
        ("move times normal 1 0.1 0.95 1.3", truncnorm(-0.5, 3, 1, 0.1)),
        ("move times lognormal 1.1 1.2", lognorm(log(1.2), scale=1.1)),
    ],
)
def test_draws_follow_their_law(words: str, law: object) -> None:
    """Outside source: the distributions of scipy."""
    drawn = read_scatter(words).draw(np.random.default_rng(7), (200, 250)).ravel()
    for quantile in (0.001, 0.05, 0.3, 0.5, 0.8, 0.99):
        seen = (drawn <= law.ppf(quantile)).mean()  # type: ignore[attr-defined]
        assert seen == pytest.approx(quantile, abs=4 * (quantile * (1 - quantile) / 5e4) ** 0.5)


def test_uniform_and_fixed_draws() -> None:
    generator = np.random.default_rng(1)
    drawn = Scatter("lift", "plus", "uniform", (-1, 3)).draw(generator, (50_000,))
    assert (drawn.min(), drawn.max()) == pytest.approx((-1, 3), abs=0.01)
    assert drawn.mean() == pytest.approx(1, abs=0.03)
    assert set(Scatter("lift", "plus", "fixed", (2,)).draw(generator, (5,))) == {2}


@pytest.mark.parametrize(
    ("what", "loaded", "empty"),
    [
        # Steps of the bath line: 12 without drip, then 14 with a drip of 2; empty 4 and 0.
        ("move", [1.2, 1.2], [0, 0]),
        ("lift", [0.5, 0.5], [0, 0]),
        ("travel", [0.2, 0.2], [0, 0]),
        ("lower", [0.5, 0.5], [0, 0]),
        ("empty", [0, 0], [0.4, 0]),
    ],
)
def test_a_factor_works_on_its_part_of_a_move(
    what: str, loaded: list[float], empty: list[float]
) -> None:
    problem = small_line()
    plan = timed_plan(accepted(problem, small_schedule(problem)))
    scale = float(grain_of(plan) / plan.per_unit)
    changed = draw_changes(plan, (read_scatter(f"{what} times fixed 1.1"),), 1, 1, 0)
    assert (changed[0][0, :, 0] * scale).tolist() == pytest.approx(loaded)
    assert (changed[1][0, :, 0] * scale).tolist() == pytest.approx(empty)


def test_scatters_add_up_and_no_time_falls_below_nothing() -> None:
    problem = small_line()
    plan = timed_plan(accepted(problem, small_schedule(problem)))
    scale = float(grain_of(plan) / plan.per_unit)
    both = (read_scatter("lift plus fixed 1"), read_scatter("lower plus fixed 2"))
    assert (draw_changes(plan, both, 1, 1, 0)[0] * scale).ravel().tolist() == [3, 3]
    none = (read_scatter("move times fixed 0"), read_scatter("lift times fixed 0"))
    assert (draw_changes(plan, none, 1, 1, 0)[0] * scale).ravel().tolist() == [-12, -12]


@pytest.mark.parametrize(
    ("words", "named"),
    [
        ("", "what scatters"),
        ("move times uniform", "what scatters"),
        ("moves times uniform 0 1", "one of move, lift"),
        ("move by uniform 0 1", "one of times, plus"),
        ("move times even 0 1", "one of fixed, uniform"),
        ("move times uniform 0.9", "LOW HIGH"),
        ("move times uniform 1.1 0.9", "rising order"),
        ("move times triangular 0.9 1.2 1.1", "rising order"),
        ("move times uniform low high", "plain numbers"),
        ("move times uniform 0 nan", "figures of at most"),
        ("move times uniform 0 inf", "figures of at most"),
        ("move times uniform 0 1e99", "figures of at most"),
        ("move times uniform -0.1 1", "no factor below 0"),
        ("move times normal 1 -1", "standard deviation"),
        ("move times normal 1 0.4", "no factor below 0"),
        ("move times normal 1 0.1 1.2 0.8", "lower cut first"),
        ("move times normal 1 0.1 2 3", "leave at least"),
        ("move times normal 1 0.1 2", "MEAN DEVIATION"),
        ("move times lognormal 0 2", "median above 0"),
        ("move times lognormal 1 0.5", "spread"),
    ],
)
def test_scatter_that_makes_no_sense_is_refused(words: str, named: str) -> None:
    with pytest.raises(InputError, match=named):
        read_scatter(words)


def test_scatter_that_does_not_fit_the_line_is_refused() -> None:
    problem = small_line()
    with pytest.raises(InputError, match="no time below 0"):
        jitter(problem, small_schedule(problem), ["lift plus uniform -6 0"])
    # Times of the usual line come from a table, in which a move is one figure.
    with pytest.raises(InputError, match="from a table"):
        jitter(usual_line(), usual_table(), ["lift times uniform 1 1.1"])


# -- shares ----------------------------------------------------------------------------


@pytest.mark.parametrize(("out", "loads"), [(0, 20), (1, 50), (7, 30), (500, 1000), (40, 40)])
def test_intervals_are_wilsons(out: int, loads: int) -> None:
    """Outside source: scipy's own Wilson interval."""
    known = binomtest(out, loads).proportion_ci(0.95, method="wilson")
    assert wilson(out / loads, loads) == pytest.approx((known.low, known.high), abs=1e-12)


def test_intervals_cover_the_true_share_although_loads_hang_together() -> None:
    """Loads of a run alike: an interval that took them as independent would often miss."""
    generator, true, hits, naive = np.random.default_rng(3), 0.2, 0, 0
    for _ in range(400):
        chance = generator.beta(2, 8, size=50)  # of each run; mean 0.2
        out = generator.random((40, 50)) < chance
        share = share_of(out)
        hits += share.low <= true <= share.high
        low, high = wilson(share.share, share.loads)
        naive += low <= true <= high
    assert hits / 400 > 0.91
    assert naive / 400 < 0.7


def test_few_runs_are_cut_into_groups() -> None:
    """One run in which trouble lasts: its first half all out, its second all in."""
    out = np.zeros((1000, 1), dtype=bool)
    out[:500] = True
    low, high = wilson(0.5, 1000)
    share = share_of(out)
    assert (share.out, share.loads) == (500, 1000)
    assert share.high - share.low > 3 * (high - low)


def test_no_load_too_long_is_no_proof_of_none() -> None:
    share = share_of(np.zeros((100, 10), dtype=bool))
    assert share.low == 0
    assert share.high == pytest.approx(0.00383, abs=1e-5)
