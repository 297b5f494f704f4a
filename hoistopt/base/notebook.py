"""How an answer shows itself in a notebook, without knowing what draws it.

Tables and drawings are made in ``show``, which lies above the rooms whose objects it
shows, so nothing in those rooms may import it. The package, which lies above all rooms,
hands the function that writes the HTML in here when it is imported.
"""

from __future__ import annotations

from collections.abc import Callable

Writer = Callable[[object], str]

_writers: list[Writer] = []


def write_html_with(writer: Writer) -> None:
    """Let `writer` make the HTML of every object that is :class:`ShownInNotebook`."""
    _writers[:] = [writer]


class ShownInNotebook:
    """An object that a notebook shows as tables and drawings instead of its ``repr``."""

    __slots__ = ()

    def _repr_html_(self) -> str | None:
        """The object as HTML, by the protocol of IPython's rich display; None: use repr."""
        return _writers[0](self) if _writers else None
