"""Questions asked in turns: what one does not need of the time goes to the others."""

from __future__ import annotations

import time

import pytest

from hoistopt.base.clock import Clock
from hoistopt.base.effort import Effort
from hoistopt.planning.joining.turns import in_turns


class Asked:
    """Needs so many seconds of search, and finds something better at some of its turns."""

    def __init__(self, needs: float, better: tuple[int, ...] = (0,)) -> None:
        self.needs, self.better = needs, better
        self.turns: list[float] = []
        self.begun = 0
        self.failed = False
        self.left = needs

    @property
    def proved(self) -> bool:
        return self.left <= 0

    def go_on(self, clock: Clock) -> bool:
        assert clock.left is not None
        given = min(clock.left, self.left)
        time.sleep(given)
        self.left -= given + 0.01
        self.turns.append(given)
        return len(self.turns) - 1 in self.better

    def anew(self) -> None:
        self.begun += 1
        self.left = self.needs


def test_time_goes_back_and_forth() -> None:
    """Half of 0.8 s is too little for the first; the second is soon done, so it gets the rest."""
    first, second = Asked(0.6, better=()), Asked(0.05, better=())
    in_turns([first, second], Clock(Effort(0.8)))
    assert first.proved and second.proved
    assert len(first.turns) == 2 and first.turns[0] == pytest.approx(0.4, abs=0.05)
    first, second = Asked(0.05, better=()), Asked(0.6, better=())
    in_turns([first, second], Clock(Effort(0.8)))
    assert first.proved and second.proved and len(second.turns) == 1


def test_a_better_answer_has_those_after_it_asked_anew() -> None:
    first, second = Asked(0.3, better=(0, 1)), Asked(0.02, better=())
    in_turns([first, second], Clock(Effort(0.4)))
    assert first.proved and second.proved
    assert second.begun == 2 and len(second.turns) == 2


def test_every_question_is_asked_once_and_none_after_one_without_an_answer() -> None:
    first, second = Asked(1.0), Asked(1.0)
    in_turns([first, second], Clock(Effort(0.0001)))
    assert len(first.turns) == len(second.turns) == 1
    first, second = Asked(1.0), Asked(1.0)
    first.failed = True
    in_turns([first, second], Clock(Effort(0.1)))
    assert first.turns and not second.turns
