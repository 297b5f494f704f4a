"""What the tests of studies share."""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable
from concurrent.futures import Executor, Future
from pathlib import Path
from typing import Any

from hoistopt import load_problem
from hoistopt.problem import Problem

PROBLEMS = Path(__file__).parents[2] / "problems"


def line(name: str = "three_tanks_dryer") -> Problem:
    return load_problem(PROBLEMS / f"{name}.toml")


class AtOnce(Executor):
    """Runs everything on submit, and remembers what it was given."""

    def __init__(self, workers: int = 1) -> None:
        self.workers = workers
        self.submitted: list[tuple[Any, ...]] = []

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        self.submitted.append(args)
        future: Future[Any] = Future()
        try:
            future.set_result(fn(*args, **kwargs))
        except Exception as error:
            future.set_exception(error)
        return future

    def kill(self) -> None:
        pass

    def renew(self) -> None:
        raise AssertionError("nothing can break here")


# -- tasks for other processes: each says which process it ran in -------------------------


def square(number: int) -> dict[str, Any]:
    return {"square": number * number, "pid": os.getpid()}


def slow_square(number: int, seconds: float) -> dict[str, Any]:
    time.sleep(seconds)
    return square(number)


def square_or_die(number: int, flag: str, always: bool) -> dict[str, Any]:
    """The first to find no flag kills its process; `always`: every time."""
    if always:
        os.kill(os.getpid(), signal.SIGKILL)
    try:
        os.close(os.open(flag, os.O_CREAT | os.O_EXCL))
    except FileExistsError:
        return slow_square(number, 0.05)
    os.kill(os.getpid(), signal.SIGKILL)
    raise AssertionError
