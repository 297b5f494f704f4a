"""Ctrl-C and SIGTERM while a search runs: it stops and gives the best it has found."""

from __future__ import annotations

import os
import signal
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from types import FrameType
from typing import Any

from ..base.effort import Stop

SIGNALS = (signal.SIGINT, signal.SIGTERM)

_SHOW_CURSOR = b"\x1b[?25h"


@contextmanager
def interrupts_noted() -> Iterator[Stop]:
    """Ctrl-C and SIGTERM interrupt, so that no half-made file stays behind, and are noted.

    The one noted tells an import that was interrupted, which some compiled modules report as
    one that failed, from one that did fail.
    """
    noted = Stop()
    before: dict[signal.Signals, Any] = {}

    def interrupt(number: int, frame: FrameType | None) -> None:
        noted.set()
        raise KeyboardInterrupt

    if threading.current_thread() is threading.main_thread():
        usual = (signal.SIG_DFL, signal.default_int_handler)
        before = {each: handler for each in SIGNALS if (handler := signal.getsignal(each)) in usual}
    try:
        for each in before:
            signal.signal(each, interrupt)
        yield noted
    finally:
        for each, handler in before.items():
            signal.signal(each, handler)


@contextmanager
def stop_on_signals() -> Iterator[Stop]:
    """A stop that Ctrl-C or SIGTERM asks for; a second one kills the process.

    Signals that are ignored, as in the background of a shell, stay so. In another thread
    than the main one nothing is changed, as Python hears signals there only.
    """
    stop = Stop()
    before: dict[signal.Signals, Any] = {}

    def hear(number: int, frame: FrameType | None) -> None:
        stop.set()
        for each in before:
            signal.signal(each, signal.SIG_DFL)
        # Whoever is killed by the next one has no time to make it visible again.
        if sys.stderr is not None and sys.stderr.isatty():
            with suppress(OSError, ValueError):
                os.write(sys.stderr.fileno(), _SHOW_CURSOR)

    if threading.current_thread() is threading.main_thread():
        before = {
            each: handler
            for each in SIGNALS
            if (handler := signal.getsignal(each)) not in (signal.SIG_IGN, None)
        }
    try:
        for each in before:
            signal.signal(each, hear)
        yield stop
    finally:
        for each, handler in before.items():
            signal.signal(each, handler)
