"""Standard output and error: any name can be printed, and a closed pipe is no crash."""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from typing import TYPE_CHECKING, TextIO

from ..base.errors import InputError

if TYPE_CHECKING:
    from rich.console import Console, RenderableType

LEAST_WIDTH, WIDTH_WITHOUT_TERMINAL = 80, 160


def prepare_streams() -> None:
    """Let both streams write what their encoding lacks as escapes instead of failing.

    A stream that was closed before we began goes nowhere. Its number is taken up again, so
    that no file we write gets it.
    """
    if sys.stdout is None:
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115 (stays open)
    if sys.stderr is None:
        sys.stderr = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115 (stays open)
    for stream in (sys.stdout, sys.stderr):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors="backslashreplace")


def close_streams(code: int) -> int:
    """Flush; the exit code becomes 2 when the output could not be written."""
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        _forget(sys.stdout)
    except OSError as error:
        _forget(sys.stdout)
        tell(f"error: {_unwritable(error)}")
        return 2
    try:
        sys.stderr.flush()
    except OSError:
        _forget(sys.stderr)
    return code


def say(*parts: RenderableType | str) -> None:
    """Print for people on standard output; whoever stops reading is not an error."""
    _print(sys.stdout, parts)


def tell(*parts: RenderableType | str) -> None:
    """Print for people on standard error."""
    with suppress(InputError):  # nowhere left to say it
        _print(sys.stderr, parts)


def put(text: str) -> None:
    """Write a whole file to standard output, as UTF-8 whatever the terminal speaks."""
    stream = sys.stdout
    try:
        buffer = getattr(stream, "buffer", None)
        if buffer is None:
            stream.write(text)
        else:
            stream.flush()
            buffer.write(text.encode("utf-8"))
            buffer.flush()
    except BrokenPipeError:
        _forget(stream)
    except OSError as error:
        _forget(stream)
        raise _unwritable(error) from None


def console(stream: TextIO) -> Console:
    """A console that prints text as it is: no emoji codes, no colour by pattern."""
    from rich.console import Console

    class Plain(Console):
        def on_broken_pipe(self) -> None:
            # Rich would end the process with an exit code of its own.
            raise BrokenPipeError

    made = Plain(file=stream, emoji=False, highlight=False)
    made.width = max(made.width, LEAST_WIDTH) if stream.isatty() else WIDTH_WITHOUT_TERMINAL
    return made


def _print(stream: TextIO, parts: tuple[RenderableType | str, ...]) -> None:
    try:
        for part in parts:
            if isinstance(part, str):
                stream.write(f"{part}\n")
            else:
                console(stream).print(part)
    except BrokenPipeError:
        _forget(stream)
    except OSError as error:
        _forget(stream)
        raise _unwritable(error) from None


def _unwritable(error: OSError) -> InputError:
    reason = error.strerror or str(error)
    return InputError(f"a place to write to ({reason})", file="standard output")


def _forget(stream: TextIO) -> None:
    """Send what is still to come to nowhere, so that the flush at exit succeeds too."""
    with suppress(OSError, ValueError):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, stream.fileno())
        os.close(nowhere)
