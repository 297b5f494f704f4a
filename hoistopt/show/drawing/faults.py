"""Moves that break rules, drawn as such: a stamp over the picture, numbered marks, their list."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING, Any

from ...base.text import clean, counted
from ...checker.record import Violation
from .palette import TEXT, WRONG
from .wording import wrapped

if TYPE_CHECKING:
    from matplotlib.axes import Axes

MOST_LISTED = 15
_LETTER = 3.9

MARK: dict[str, Any] = {
    "linestyle": "none",
    "marker": "X",
    "markersize": 9,
    "markerfacecolor": WRONG,
    "markeredgecolor": "#ffffff",
}
"""The sign where a rule is broken: a cross, whatever its colour."""


def heading(violations: Sequence[Violation]) -> str:
    """What stands above the picture."""
    return f"REFUSED: {counted(len(violations), 'broken rule')}: do not run"


def fault_lines(violations: Sequence[Violation], width: float) -> list[str]:
    """The broken rules by the numbers of their marks, for the foot of the picture.

    Parameters
    ----------
    width : float
        Room for a line, in points.
    """
    if not violations:
        return []
    letters = max(20, int(width / _LETTER))
    said = [
        f"{number}: {clean(one.message)} ({one.rule})"
        for number, one in enumerate(violations[:MOST_LISTED], start=1)
    ]
    more = len(violations) - MOST_LISTED
    if more > 0:
        said.append(f"and {more} more; `hoistopt verify` names them all")
    return ["Broken rules, by the numbers at the crosses:"] + [
        line for text in said for line in wrapped(text, letters).split("\n")
    ]


def mark_faults(ax: Axes, places: Iterable[tuple[float, float, int]]) -> None:
    """A cross and a number wherever a rule is broken; one cross for all at one place.

    Parameters
    ----------
    places : iterable of (float, float, int)
        Where, along both axes, and the number of the fault.
    """
    found = list(places)
    ax.plot(
        [x for x, _, _ in found],
        [y for _, y, _ in found],
        **MARK,
        clip_on=False,
        zorder=9,
        gid="wrong",
        label="_wrong",
    )
    together: dict[tuple[float, float], list[int]] = {}
    for x, y, number in found:
        together.setdefault((x, y), []).append(number)
    for (x, y), numbers in together.items():
        ax.annotate(
            ",".join(map(str, sorted(set(numbers)))),
            (x, y),
            xytext=(7, 4),
            textcoords="offset points",
            fontsize=7.5,
            fontweight="bold",
            color=TEXT,
            bbox={"boxstyle": "square,pad=0.15", "facecolor": "#ffffff", "edgecolor": TEXT},
            annotation_clip=False,
            zorder=9,
            gid="fault",
        )


def stamp(ax: Axes) -> None:
    """The word over the whole picture that says it shows no schedule to run."""
    ax.text(
        0.5,
        0.5,
        "REFUSED",
        transform=ax.transAxes,
        fontsize=64,
        fontweight="bold",
        rotation=12,
        ha="center",
        va="center",
        color=WRONG,
        alpha=0.3,
        zorder=8,
        gid="stamp",
    )
