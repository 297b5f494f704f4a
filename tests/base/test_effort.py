"""Efforts, stops and clocks."""

from __future__ import annotations

import os
import signal
import threading
import time

import pytest

from hoistopt import Effort, InputError, Progress, Stop
from hoistopt.base.clock import Clock, OutOfTime
from hoistopt.base.effort import effort_of


@pytest.mark.parametrize(
    "wrong",
    [
        {"time_limit": 0}, {"time_limit": -1}, {"time_limit": float("inf")},
        {"time_limit": float("nan")}, {"time_limit": "soon"}, {"workers": 0},
        {"workers": 257}, {"workers": 1.5}, {"seed": -1}, {"seed": 2**31}, {"seed": 0.5},
    ],
)  # fmt: skip
def test_an_effort_that_makes_no_sense_is_refused(wrong: dict[str, object]) -> None:
    with pytest.raises(InputError, match=next(iter(wrong))):
        Effort(**wrong)  # type: ignore[arg-type]


def test_single_arguments_make_an_effort_and_none_beside_one() -> None:
    assert effort_of(None, time_limit=3, workers=2, seed=1) == Effort(3, 2, 1)
    assert effort_of(None, usual_limit=60).time_limit == 60
    assert effort_of(Effort(), usual_limit=60).time_limit is None
    for twice in ({"time_limit": 3}, {"workers": 2}, {"seed": 1}, {"on_progress": print}):
        with pytest.raises(InputError, match="not both"):
            effort_of(Effort(), **twice)  # type: ignore[arg-type]


def test_a_stop_wakes_all_who_wait_and_stays_set() -> None:
    stop = Stop()
    assert not stop.is_set()
    assert stop.wait(0.01) is False
    woken: list[bool] = []
    waiting = [threading.Thread(target=lambda: woken.append(stop.wait(60))) for _ in range(5)]
    for thread in waiting:
        thread.start()
    for _ in range(3):  # once would do
        stop.set()
    for thread in waiting:
        thread.join(30)
    assert woken == [True] * 5
    assert stop.is_set() and stop.wait() and stop.wait(0)


@pytest.mark.skipif(not hasattr(signal, "setitimer"), reason="no such timer here")
def test_a_signal_handler_may_set_what_its_own_thread_waits_for() -> None:
    stop = Stop()
    before = signal.signal(signal.SIGALRM, lambda *_: stop.set())
    try:
        signal.setitimer(signal.ITIMER_REAL, 0.1)
        assert stop.wait(30)
    finally:
        signal.signal(signal.SIGALRM, before)


def test_a_clock_runs_down_and_its_parts_never_outlast_it() -> None:
    clock = Clock(Effort(0.2, workers=3, seed=7))
    assert not clock.over and clock.left is not None and 0 < clock.left <= 0.2
    part = clock.part(100, workers=1)
    assert part.left is not None and part.left <= 0.2
    assert (part.workers, part.seed, clock.workers) == (1, 7, 3)
    half = clock.share(0.5)
    assert half.left is not None and half.left <= 0.1
    time.sleep(0.25)
    assert clock.over and part.over and clock.left == 0
    assert not clock.stopped
    with pytest.raises(OutOfTime):
        clock.check()


def test_a_part_may_be_stopped_alone_but_ends_with_the_whole() -> None:
    whole, own = Stop(), Stop()
    clock = Clock(Effort(stop=whole))
    assert clock.left is None and clock.share(0.5).left is None
    part = clock.part(stop=own)
    own.set()
    assert part.over and part.stopped and not clock.over
    other = clock.part(stop=Stop())
    whole.set()
    assert clock.over and other.over


def test_progress_tells_the_gap_only_where_both_ends_are_known() -> None:
    assert Progress(200, 150).gap == 0.25
    assert Progress(None, 150).gap is None
    assert Progress(200).gap is None


@pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_first_signal_asks_for_a_stop_and_the_next_one_kills(number: signal.Signals) -> None:
    from hoistopt.cli.stopping import SIGNALS, stop_on_signals

    before = {each: signal.getsignal(each) for each in SIGNALS}
    for each in SIGNALS:
        signal.signal(each, signal.default_int_handler)
    try:
        with stop_on_signals() as stop:
            os.kill(os.getpid(), number)
            assert stop.wait(10)
            assert {signal.getsignal(each) for each in SIGNALS} == {signal.SIG_DFL}
        assert all(signal.getsignal(each) is signal.default_int_handler for each in SIGNALS)
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # as in the background of a shell
        with stop_on_signals():
            assert signal.getsignal(signal.SIGINT) is signal.SIG_IGN
    finally:
        for each, handler in before.items():
            signal.signal(each, handler)


def test_in_another_thread_signals_are_left_alone() -> None:
    from hoistopt.cli.stopping import stop_on_signals

    kept: list[bool] = []

    def run() -> None:
        before = signal.getsignal(signal.SIGINT)
        with stop_on_signals() as stop:
            kept.append(signal.getsignal(signal.SIGINT) is before and not stop.is_set())

    thread = threading.Thread(target=run)
    thread.start()
    thread.join(30)
    assert kept == [True]
