"""Questions that are asked one under another, in turns, until all are proved or time is up."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from ...base.clock import Clock

SHARE = 0.5
"""Of the time left, for a question while others are open."""
LAST = 0.5
"""Seconds; with less left the last question gets all of it."""


class Question(Protocol):
    """What is to be least, among all that do as well by the questions before."""

    @property
    def proved(self) -> bool:
        """Whether its answer is known to be the best under those before it."""

    @property
    def failed(self) -> bool:
        """Whether the questions after it make no sense without an answer, and it has none."""

    def go_on(self, clock: Clock) -> bool:
        """Search on; whether its answer has become another one."""

    def anew(self) -> None:
        """An answer before it is another one now."""


def in_turns(questions: Sequence[Question], clock: Clock) -> None:
    """Ask the questions, each for a share of the time left, then those not proved again.

    What one of them does not need goes to the others. Where an answer becomes better those
    after it are asked anew. Every one is asked once, whatever the time.

    Parameters
    ----------
    questions : sequence of Question
        The most important first.
    clock : Clock
    """
    asked = False
    while not (asked and clock.over):
        better = False
        for place, question in enumerate(questions):
            if question.proved:
                continue
            alone = all(one.proved for one in questions if one is not question)
            left = clock.left
            last = question is questions[-1] and left is not None and left < LAST
            if question.go_on(clock if alone or last else clock.share(SHARE)):
                better = True
                for later in questions[place + 1 :]:
                    later.anew()
            if question.failed:
                return
        asked = True
        if all(question.proved for question in questions) or (clock.left is None and not better):
            return
