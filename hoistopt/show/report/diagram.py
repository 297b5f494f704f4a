"""The time-way diagram inside the page: the drawing's own SVG, without inline styles."""

from __future__ import annotations

import io
from fractions import Fraction
from typing import TYPE_CHECKING
from xml.etree.ElementTree import Element, fromstring

from ...checker import ProgrammeReplay
from ..drawing import palette
from ..drawing.look import own_look
from ..programme.figure import draw_programme
from ..timeway import draw_timeway
from .case import Case
from .markup import tag

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

CYCLES = 2
_COLOURS = {
    palette.TEXT: "text",
    palette.HOIST: "text",
    palette.QUIET: "quiet",
    palette.EMPTY: "quiet",
    palette.BOUNDARY: "restart",
    palette.WRONG: "over",
    palette.NO_MARGIN: "over",
    palette.SMALL_MARGIN: "scarce",
    palette.RULE: "line",
    palette.LANE[0]: "card",
    palette.LANE[1]: "lane",
}
"""The drawing's colours and the page's that stand for them, light or dark."""
_KEPT = ("viewBox", "version")
NOW, _PREFIX = "timeway-now", "timeway-"
WIDE = 1250
"""Points from which a drawing would be too small to read within the page's width: it scrolls."""


def timeway_svg(case: Case) -> Element:
    """The diagram as an element of the report, with a line for the player's time.

    Its ``data-`` attributes tell where time lies: ``left`` and ``right`` in the units of
    its view box, ``span`` in the problem's time unit.
    """
    return _followed(_drawn(case), CYCLES * case.replay.cycle_time)


def programme_svg(seen: ProgrammeReplay) -> Element:
    """The diagram of a programme as SVG, with ``data-`` attributes that tell where time lies."""
    figure = draw_programme(seen)
    names = [seen.problem.name, *(station.name for station in seen.problem.stations)]
    return _followed(_set(figure, figure.axes[0], names), seen.finish)


def programme_picture(seen: ProgrammeReplay) -> Element:
    """The diagram of a programme as a picture that stands by itself."""
    names = [seen.problem.name, *(station.name for station in seen.problem.stations)]
    return figure_picture(draw_programme(seen), names, "Diagram of the programme")


def figure_picture(figure: Figure, names: list[str], label: str) -> Element:
    """Any figure as a picture of the page.

    Parameters
    ----------
    figure : matplotlib.figure.Figure
    names : list of str
        What the user named and it shows; it decides which fonts are needed.
    label : str
        What it shows, for those who cannot see it.
    """
    root, _ = _set(figure, figure.axes[0], names)
    root.set("aria-label", label)
    return root


def _followed(drawn: Drawn, span: Fraction) -> Element:
    """A drawing with a line for the player's time."""
    root, (left, right, top, bottom) = drawn
    root.attrib |= {
        "aria-labelledby": "timeway-text",
        "data-left": f"{left:.3f}",
        "data-right": f"{right:.3f}",
        "data-span": f"{float(span):.6f}",
    }
    y = {"y1": f"{top:.3f}", "y2": f"{bottom:.3f}"}
    root.append(tag("line", id=NOW, class_="now", x1="0", x2="0", **y))
    return root


def timeway_picture(case: Case) -> Element:
    """The diagram as a picture that stands by itself, wherever the page's colours are set."""
    root, _ = _drawn(case)
    root.set("aria-label", f"Time-way diagram of {CYCLES} cycles")
    return root


Drawn = tuple[Element, tuple[float, float, float, float]]
"""A drawing, and the left, right, top and bottom of its axes."""


def _drawn(case: Case) -> Drawn:
    """The time-way diagram of a schedule.

    Colours follow the page's, but for the carriers' bars and the text in them, which
    stay as they are.
    """
    from matplotlib.figure import Figure

    problem = case.problem
    ax = draw_timeway(problem, case.schedule, case.replay, cycles=CYCLES)
    figure = ax.figure
    assert isinstance(figure, Figure)
    return _set(figure, ax, [problem.name, *(station.name for station in problem.stations)])


def _set(figure: Figure, ax: Axes, names: list[str]) -> Drawn:
    """A figure as an element of the page."""
    stream = io.BytesIO()
    with own_look(names):
        figure.savefig(stream, format="svg", metadata={"Date": None})
    root = _plain(fromstring(stream.getvalue()))
    width, height = (float(size) * 72 for size in figure.get_size_inches())
    root.attrib = {key: value for key, value in root.attrib.items() if key in _KEPT} | {
        "class": "timeway wide" if width > WIDE else "timeway",
        "role": "img",
        # Matplotlib leaves out black, which text in the legend is.
        "fill": "var(--text)",
        "width": f"{width:.2f}",
        "height": f"{height:.2f}",
    }
    _own_identities(root)
    box = ax.get_position()
    sides = (box.x0 * width, box.x1 * width, (1 - box.y1) * height, (1 - box.y0) * height)
    return root, sides


def _plain(element: Element, in_bar: bool = False) -> Element:
    """A copy without namespaces, metadata, white space and style attributes."""
    in_bar = in_bar or element.get("id") == "load"
    made = Element(_local(element.tag))
    for key, value in element.attrib.items():
        if key != "style":
            made.set(_local(key), " ".join(value.split()))
    for part in element.get("style", "").split(";"):
        name, _, value = part.partition(":")
        if value:
            made.set(name.strip(), value.strip())
    # Text in a bar, and its rim in the bar's colour, go with the bar.
    if not in_bar and not _is_bar(element):
        for name in ("fill", "stroke"):
            colour = _COLOURS.get(made.get(name, ""))
            if colour is not None:
                made.set(name, f"var(--{colour})")
    for child in element:
        if _local(child.tag) not in ("metadata", "style", "title"):
            made.append(_plain(child, in_bar or _is_bar(element)))
    return made


def _is_bar(element: Element) -> bool:
    identity = element.get("id", "")
    return identity == "stay" or identity.startswith("stay-")


def _local(name: str) -> str:
    return name.rpartition("}")[2]


def _own_identities(root: Element) -> None:
    """Keep only the identities something refers to, under names no other part has."""
    used = {_referred(*pair) for element in root.iter() for pair in element.attrib.items()}
    for element in root.iter():
        for key, value in list(element.attrib.items()):
            if _referred(key, value):
                element.set(key, value.replace("#", f"#{_PREFIX}", 1))
        identity = element.attrib.pop("id", None)
        if identity is not None and identity in used:
            element.set("id", f"{_PREFIX}{identity}")


def _referred(key: str, value: str) -> str | None:
    """The identity an attribute refers to."""
    if key == "href":
        return value.removeprefix("#")
    return value[5:-1] if value.startswith("url(#") else None
