"""Which way to search gets the time."""

from __future__ import annotations

import numpy as np
import pytest

from hoistopt.solver.cyclic.annealing.paid import Paid

pytestmark = pytest.mark.quick


def test_before_anything_is_tried_the_shares_are_what_is_hoped() -> None:
    assert Paid((1.5, 0.5)).shares == pytest.approx([0.75, 0.25])


def test_what_finds_more_is_chosen_more_often() -> None:
    paid, random = Paid((1.0, 1.0)), np.random.default_rng(0)
    chances, chosen = (0.02, 0.4), [0, 0]
    for _ in range(400):
        way = paid.choose(random)
        chosen[way] += 1
        paid.tell(way, 1, int(random.random() < chances[way]))
    assert chosen[1] > 3 * chosen[0] > 0
    assert paid.shares[1] > 0.8


def test_what_is_in_vain_for_long_is_never_given_up() -> None:
    paid = Paid((1.0, 1.0))
    paid.tell(0, 1000, 0)
    paid.tell(1, 10, 5)
    assert 0 < paid.shares[0] < 0.01
