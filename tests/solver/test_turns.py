"""Turns of neighbourhoods and of the whole model: who has how much of the time."""

from __future__ import annotations

import pytest

from benchmarks.lines.real import real_line
from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.instance import build_instance
from hoistopt.problem import load_problem
from hoistopt.solver.chains import ChainBound, kinds_of
from hoistopt.solver.cyclic import turns, whole
from hoistopt.solver.cyclic.incumbent import Incumbent
from hoistopt.solver.cyclic.search import _Search, least_cycle
from tests.helpers.command import PROBLEMS
from tests.helpers.searched import one_at_a_time

pytestmark = pytest.mark.quick


@pytest.mark.parametrize(
    ("tanks", "gained", "looks", "models"),
    [
        (4, 0.01, [5, 15, 45], [5, 15, 45]),
        (4, 0.001, [5, 15], [45, 405]),  # so little is in vain, too
        (4, 0.0, [5, 15], [45, 405]),
        (2, 0.0, [15], [45, 405]),  # few moves: it comes first
        (6, 0.0, [5, 15], [2.5, 7.5]),  # many: it hardly proves them
    ],
)
def test_after_a_turn_in_vain_the_whole_model_has_more_of_the_time(
    tanks: int,
    gained: float,
    looks: list[float],
    models: list[float],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    instance = build_instance(real_line("zinc", tanks, 0), tanks)
    assert (len(instance.moves) <= whole.PROVABLE) is (tanks == 2)
    assert (len(instance.moves) > whole.HARDLY_PROVABLE) is (tanks == 6)
    incumbent = one_at_a_time(instance)
    looked: list[float] = []
    modelled: list[float] = []

    def shift(_: object, known: Incumbent, clock: Clock, work: float) -> None:
        looked.append(round(work, 6))
        if gained:
            assert known.best is not None
            known.improve(int((1 - gained) * known.best), None)

    def search(_: object, known: Incumbent, clock: Clock, work: float) -> str:
        modelled.append(work)
        return "optimal" if len(modelled) == len(models) else "unknown"

    monkeypatch.setattr(turns, "shift_for_a_turn", shift)
    monkeypatch.setattr(turns, "search_whole_model", search)
    monkeypatch.setattr(turns, "raise_bound", lambda *_: None)
    chains = ChainBound(kinds_of(instance))
    assert turns.shift_and_prove(instance, incumbent, Clock(Effort(None, 1)), chains) == "optimal"
    assert (looked, modelled) == (looks, models)


def test_copies_of_a_least_cycle_are_proved_before_moves_are_put_back(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Phillips and Unger (1976), AIIE Transactions 8(2), 219-225: 521 is the least at degree 1."""
    put_back: list[int] = []
    monkeypatch.setattr(_Search, "reinsert", lambda self, rounds=None: put_back.append(1))
    instance = build_instance(load_problem(PROBLEMS / "phillips_unger_1976.toml"), 4)
    assert len(instance.moves) == 52
    found = least_cycle(instance, Clock(Effort(60, 1)))
    assert (found.status, found.bound) == ("optimal", 4 * 521)
    assert not put_back
