"""Compile loops once for all workers of a run of the tests."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any


def compile_once(folder: Path) -> None:
    """Let this process wait for a loop that another one compiles, and then load it.

    Numba keeps machine code on disk. Processes that begin together find none there and each
    compile all of it, which takes as long as a tenth of all tests. A loop's lock is taken
    inside Numba's own, and only for loops that it calls while it is held, so that nobody
    waits in a circle. Where there are no locks on files everybody compiles.

    Parameters
    ----------
    folder : Path
        Where the locks are; the same for all processes.
    """
    try:
        import fcntl
    except ImportError:
        return
    from numba.core.compiler_lock import global_compiler_lock
    from numba.core.dispatcher import Dispatcher

    @contextmanager
    def locked(name: str) -> Iterator[None]:
        with (folder / name).open("w") as file:
            fcntl.flock(file, fcntl.LOCK_EX)  # until the file is closed
            yield

    alone = Dispatcher.compile

    def compile_in_turn(loop: Any, signature: Any) -> Any:
        with global_compiler_lock, locked(f"{loop.__module__}.{loop.__qualname__}"):
            return alone(loop, signature)

    Dispatcher.compile = compile_in_turn
