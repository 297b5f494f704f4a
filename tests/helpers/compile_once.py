"""Compile loops once for all workers of a run of the tests."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any


@contextmanager
def locked(path: Path) -> Iterator[None]:
    """Wait until no other process has the file locked; without locks on files, nobody waits."""
    try:
        import fcntl
    except ImportError:
        yield
        return
    with path.open("w") as file:
        fcntl.flock(file, fcntl.LOCK_EX)  # until the file is closed
        yield


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
    from numba.core.compiler_lock import global_compiler_lock
    from numba.core.dispatcher import Dispatcher

    loops: Any = Dispatcher
    alone = loops.compile

    def compile_in_turn(loop: Any, signature: Any) -> Any:
        with global_compiler_lock, locked(folder / f"{loop.__module__}.{loop.__qualname__}"):
            return alone(loop, signature)

    loops.compile = compile_in_turn
