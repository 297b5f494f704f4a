"""The step table and the dwell margins, as tables of the page."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from xml.etree.ElementTree import Element

from ...analysis.figures import DwellRow, StepRow
from ...analysis.figures.dwells import Margin
from ...base.numbers.decimals import aligned
from ...base.text import counted, load_name
from .case import Case
from .markup import Content, tag, user

# Of the small bar: its width, and where least and greatest dwell lie on it.
BAR_WIDTH, BAR_LEFT, BAR_RIGHT = 200.0, 14.0, 186.0
OPEN_SPAN = Decimal("1.25")


def step_table(case: Case) -> Element:
    """What the hoist does in one cycle, in order."""
    told, unit = case.told, case.unit
    rows = told.steps
    starts = aligned([row.start for row in rows])
    times = [
        aligned([getattr(row, name) for row in rows])
        for name in ("empty", "wait", "loaded", "drip", "dwell")
    ]
    several = any(row.hoist for row in rows)
    head = [
        "Step",
        f"Start, {unit}",
        *(["Hoist"] if several else []),
        "From",
        "To",
        *_load_heads(case),
        f"Travel empty, {unit}",
    ]
    # Lifting, dripping and lowering are part of a loaded move: nobody should add them up.
    head += [f"Wait, {unit}", f"Loaded move, {unit}", f"incl. drip, {unit}"]
    head += [f"Dwell before, {unit}"]
    body = []
    for row, start, *cells in zip(rows, starts, *times, strict=True):
        line = tag(
            "tr",
            tag("th", str(row.step), scope="row", class_="number"),
            figure_cell(start),
            *([tag("td", user(row.hoist or ""))] if several else []),
            tag("td", user(row.source)),
            tag("td", user(row.target)),
            *_load_cells(case, row),
            *(figure_cell(cell) for cell in cells),
            id=f"step-{row.step}",
        )
        body.append(line)
    title = counted_title("Steps of one cycle in the steady state", len(rows))
    if case.warned and not case.longer:
        title.append(" (cannot be run as planned: see the top of the page)")
    return titled_table(title, head, body, "steps")


FITTING = 13
"""Rows that the box of a step table shows at once where none takes two lines: player.css."""


def counted_title(title: str, moves: int) -> list[Content]:
    """What stands over a step table: how many moves there are, and where they do not all fit
    into its box, how to see them, which paper does not need."""
    more = [tag("span", "; scroll for the rest", class_="on-screen")] if moves > FITTING else []
    return [f"{title}: {counted(moves, 'move')}", *more]


def margin_table(case: Case) -> Element:
    """What each load stands in each stage, against its window."""
    rows, unit = case.told.dwells, case.unit
    columns = [
        aligned([getattr(row, name) for row in rows])
        for name in ("dwell", "least", "most", "margin_min", "margin_max")
    ]
    head = [*_load_heads(case), "Stage", "Station", f"Dwell, {unit}", f"Min, {unit}"]
    head += [f"Max, {unit}", f"Above min, {unit}", f"Below max, {unit}", "In its window"]
    sourced = any(row.source for row in rows)
    head += [SOURCE] * sourced
    body = []
    for row, *cells in zip(rows, *columns, strict=True):
        body.append(
            tag(
                "tr",
                *_load_cells(case, row),
                tag("th", user(row.label), scope="row"),
                tag("td", user(row.station)),
                *(figure_cell(cell) for cell in cells),
                tag("td", dwell_bar(row, unit), *remark(row), class_="bar"),
                *([tag("td", user(row.source))] if sourced else []),
            )
        )
    return titled_table("Dwell of every load in every stage", head, body, "margins")


def _load_heads(case: Case) -> list[str]:
    heads = ["Recipe"] if case.told.several_recipes else []
    return [*heads, "Load"] if case.told.several_loads else heads


def _load_cells(case: Case, row: StepRow | DwellRow) -> list[Element]:
    cells = [tag("td", user(row.recipe))] if case.told.several_recipes else []
    return [*cells, figure_cell(load_name(row.load))] if case.told.several_loads else cells


def figure_cell(text: str) -> Element:
    return tag("td", "\N{EN DASH}" if text == "-" else text, class_="number")


SOURCE = "Source of the window"
_OF_WORDS = (
    SOURCE,
    "Hoist",
    "Left",
    "Right",
    "From",
    "To",
    "Recipe",
    "Stage",
    "Station",
    "In its window",
    "Order",
    "Loads",
    "in",
    "Answer",
)


def titled_table(
    title: str | Sequence[Content], head: Sequence[str], body: Sequence[Element], name: str
) -> Element:
    cells = [
        tag("th", *_kept(text), scope="col", class_="" if text in _OF_WORDS else "number")
        for text in head
    ]
    return tag(
        "table",
        # In a part of its own, which stays in sight where the table scrolls sideways.
        tag("caption", tag("span", *([title] if isinstance(title, str) else title))),
        tag("thead", tag("tr", *cells)),
        tag("tbody", *body),
        class_=name,
    )


def _kept(text: str) -> list[Content]:
    """A heading whose unit never stands on a line of its own."""
    first, space, last = text.rpartition(", ")[0].rpartition(" ")
    unit = text.rpartition(", ")[2]
    return [first + space, tag("span", f"{last}, {unit}", class_="kept")] if last else [text]


def remark(row: DwellRow) -> list[Content]:
    """What the bar shows and the figures alone might hide."""
    if row.margin == "enough":
        return []
    words = f"{row.margin} margin" if row.margin == "small" else "no margin"
    return [tag("span", *margin_sign(row.margin), words, class_=f"remark {row.margin}")]


def margin_sign(margin: Margin) -> list[Content]:
    """A triangle for no margin, a hollow one for a small one, as in the diagram."""
    if margin == "enough":
        return []
    path = tag("path", d="M6 1.5L11 10.5H1z")
    sign = {"viewBox": "0 0 12 12", "width": "12", "height": "12"}
    return [tag("svg", path, **sign, class_=f"sign {margin}", aria_hidden="true")]


def dwell_bar(row: DwellRow, unit: str) -> Element:
    """The window from minimum to maximum dwell, and where in it the dwell ends."""
    least, most, dwell = row.least, row.most, row.dwell
    end = max(2 * least, dwell * OPEN_SPAN, Decimal(1)) if most is None else most
    span = end - least
    share = (dwell - least) / span if span else Decimal(0)
    right = BAR_RIGHT if span else BAR_LEFT
    at = min(BAR_LEFT + float(share) * (right - BAR_LEFT), BAR_WIDTH - 7)
    parts = [
        tag("line", x1="0", x2=f"{BAR_WIDTH:g}", y1="9", y2="9", class_="axis"),
        tag(
            "rect",
            x=f"{BAR_LEFT:g}",
            y="3",
            width=f"{right - BAR_LEFT:g}",
            height="12",
            class_="window",
        ),
        tag("path", d=f"M{BAR_LEFT:g} 1V17", class_="limit"),
    ]
    if most is None:
        parts.append(tag("path", d=f"M{right:g} 4l8 5l-8 5z", class_="open"))
    else:
        parts.append(tag("path", d=f"M{right:g} 1V17", class_="limit"))
    parts.append(tag("path", d=f"M{at:.2f} 9m-6.5 0l6.5 -8l6.5 8l-6.5 8z", class_="dwell"))
    return tag(
        "svg",
        *parts,
        viewBox=f"0 0 {BAR_WIDTH:g} 18",
        width=f"{BAR_WIDTH:g}",
        height="18",
        class_=f"window-bar {row.margin}",
        role="img",
        aria_label=_spoken(row, unit),
    )


def _spoken(row: DwellRow, unit: str) -> str:
    if row.most is None:
        return f"{row.dwell:f} {unit}, at least {row.least:f} {unit}, no maximum"
    return f"{row.dwell:f} {unit}, between {row.least:f} and {row.most:f} {unit}"
