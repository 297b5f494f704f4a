"""The errors a user can cause, and the one way they are worded."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


class HoistoptError(Exception):
    """Base class of every error this package raises on purpose."""


class InputError(HoistoptError):
    """Something the user gave cannot be used.

    Parameters
    ----------
    expected : str
        What would have been accepted.
    field : str, optional
        Where the trouble is, in the user's words, e.g. ``recipe "A", stage 2, max``.
    value : object, optional
        What stood there; shortened when long.
    way_out : str, optional
        What to do about it, as a sentence.
    file : str or Path, optional
        The file it came from; readers fill it in with :meth:`in_file`.

    Examples
    --------
    >>> import hoistopt
    >>> try:
    ...     hoistopt.Stage("Rinse 1", min=20, max=-1)
    ... except hoistopt.InputError as error:
    ...     print(error)
    stage "Rinse 1", max = -1: expected a number of at least 0.
    """

    def __init__(
        self,
        expected: str,
        *,
        field: str | None = None,
        value: object = None,
        way_out: str | None = None,
        file: str | Path | None = None,
    ) -> None:
        self.expected = expected
        self.field = field
        self.value = value
        self.way_out = way_out
        self.file = None if file is None else str(file)
        super().__init__(expected)

    def in_file(self, file: str | Path) -> InputError:
        """The same error, naming `file` unless a file is named already."""
        if self.file is None:
            self.file = str(file)
        return self

    def __str__(self) -> str:
        place = [shortened(part, 200) for part in (self.file, self.field) if part]
        text = ": ".join(place)
        if self.value is not None:
            shown = shortened(self.value, 60)
            text += f" = {shown}" if self.field else f": {shown}"
        expected = shortened(self.expected, 400)
        text = f"{text}: expected {expected}" if text else f"expected {expected}"
        if not text.endswith("."):
            text += "."
        return f"{text} {shortened(self.way_out, 4000)}" if self.way_out else text


@contextmanager
def naming_file(file: str | Path) -> Iterator[None]:
    """Let an :class:`InputError` about what a file says name the file."""
    try:
        yield
    except InputError as error:
        raise error.in_file(file) from None


def printable(text: str) -> str:
    """`text` on one line, with characters that could move a cursor written as escapes."""
    return "".join(
        sign if sign.isprintable() else sign.encode("unicode_escape").decode() for sign in text
    )


def shortened(value: object, most: int) -> str:
    """`value` as printable text of at most `most` characters, its middle cut out."""
    try:
        text = str(value)
    except ValueError:  # Python refuses to write out integers of thousands of digits
        return "a number of thousands of digits"
    if len(text) > most:
        text = f"{text[: most * 2 // 3]}...{text[-(most // 3 - 3) :]}"
    return printable(text)


class StoppedError(HoistoptError):
    """A stop or the time limit came before there was anything to answer with."""


class InfeasibleError(HoistoptError):
    """The question is well put and the answer is that no such schedule exists.

    Raised where the cause can be named without a search, such as a load heavier
    than the hoist can lift on every way it could go.
    """
