"""The tables of a programme's page: moves, loads, orders, and every dwell in its window."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction
from xml.etree.ElementTree import Element

from ...analysis.figures import DwellRow
from ...base.numbers.decimals import aligned, as_decimal
from ...base.text import load_name
from ...checker import LoadStay, ProgrammeReplay
from ...planning.plan_result import Plan
from ..programme.orders import UNNAMED, order_rows, spans
from ..programme.rows import load_rows, move_rows, tick_of
from .markup import Content, tag, user
from .tables import SOURCE, counted_title, dwell_bar, figure_cell, margin_sign, remark, titled_table


def move_table(seen: ProgrammeReplay) -> Element:
    """What the hoist does, or each of several, in order of time."""
    unit, rows = seen.problem.unit, move_rows(seen)
    several = len(seen.problem.hoists) > 1
    columns = [aligned([getattr(row, name) for row in rows]) for name in ("start", "end", "drip")]
    body = [
        tag(
            "tr",
            tag("th", str(row.step), scope="row", class_="number"),
            figure_cell(start),
            *([tag("td", user(row.hoist or ""))] if several else []),
            tag("td", user(row.source)),
            tag("td", user(row.target)),
            tag("td", user(row.recipe)),
            figure_cell(load_name(row.load)),
            figure_cell(end),
            figure_cell(drip),
            id=f"step-{row.step}",
        )
        for row, start, end, drip in zip(rows, *columns, strict=True)
    ]
    head = ["Step", f"Start, {unit}", *(["Hoist"] if several else []), "From", "To", "Recipe"]
    head += ["Load", f"Set down, {unit}"]
    title = counted_title("Moves in order of time", len(rows))
    return titled_table(title, [*head, f"incl. drip, {unit}"], body, "steps")


def load_table(seen: ProgrammeReplay) -> Element:
    """When each load enters and is out, and what it has least to spare."""
    unit, rows = seen.problem.unit, load_rows(seen)
    columns = [
        aligned([getattr(row, name) for row in rows]) for name in ("entered", "out", "margin")
    ]
    body = [
        tag(
            "tr",
            tag("th", load_name(row.load), scope="row", class_="number"),
            tag("td", user(row.recipe)),
            *(figure_cell(cell) for cell in cells),
            tag("td", user(row.tightest)),
        )
        for row, *cells in zip(rows, *columns, strict=True)
    ]
    head = ["Load", "Recipe", f"Lifted, {unit}", f"Out, {unit}", f"Least margin, {unit}", "in"]
    return titled_table("Loads", head, body, "margins")


def order_table(plan: Plan) -> Element | None:
    """The orders, and how late they are; None where there are none."""
    rows = order_rows(plan)
    if not rows or plan.problem is None:
        return None
    unit = plan.problem.unit
    names = ("lifted", "out", "due", "late")
    columns = [aligned([getattr(row, name) for row in rows]) for name in names]
    body = [
        tag(
            "tr",
            tag("th", user(row.order or UNNAMED), scope="row"),
            tag("td", user(row.recipe)),
            tag("td", spans(row.loads)),
            *(figure_cell(cell) for cell in cells),
        )
        for row, *cells in zip(rows, *columns, strict=True)
    ]
    head = ["Order", "Recipe", "Loads", f"First lifted, {unit}", f"Last out, {unit}"]
    return titled_table("Orders", [*head, f"Due, {unit}", f"Late by, {unit}"], body, "margins")


def dwell_table(seen: ProgrammeReplay) -> Element:
    """What each load stands in each stage, against its window, load by load."""
    unit, tick = seen.problem.unit, tick_of(seen)
    ended = [(stay, stay.until) for stay in seen.stays if stay.until is not None]
    ended.sort(key=lambda pair: (pair[0].load, pair[1]))
    stays = [stay for stay, _ in ended]
    rows = [_dwell(stay, tick) for stay in stays]
    sources = [
        ""
        if stay.stage > len(seen.problem.recipe_by_name[stay.recipe].stages)
        else seen.problem.source_of(stay.recipe, stay.stage, stay.station)
        for stay in stays
    ]
    shortest = [
        as_decimal((stay.until or Fraction(0)) - stay.since.most, tick, "down") for stay in stays
    ]
    columns = [
        aligned([as_decimal(until, tick) for _, until in ended]),
        aligned(shortest),
        aligned([row.dwell for row in rows]),
        *(
            aligned([getattr(row, name) for row in rows])
            for name in ("least", "most", "margin_max")
        ),
    ]
    body = []
    for stay, row, source, until, low, high, least, most, margin in zip(
        stays, rows, sources, *columns, strict=True
    ):
        dwell = high if stay.since.exact else f"{low} to {high}"
        body.append(
            tag(
                "tr",
                tag("th", load_name(stay.load), scope="row", class_="number"),
                tag("td", user(stay.recipe)),
                tag("td", user(stay.label)),
                tag("td", user(stay.station)),
                *(figure_cell(cell) for cell in (until, dwell, least, most, margin)),
                tag("td", dwell_bar(row, unit), *_remark(row), class_="bar"),
                *([tag("td", user(source))] if any(sources) else []),
            )
        )
    head = ["Load", "Recipe", "Stage", "Station", f"Lifted, {unit}", f"Dwell, {unit}"]
    head += [f"Min, {unit}", f"Max, {unit}", f"Below max, {unit}", "In its window"]
    head += [SOURCE] * any(sources)
    return titled_table("Dwell of every load in every stage", head, body, "margins")


def _dwell(stay: LoadStay, tick: Fraction) -> DwellRow:
    """The longest the dwell can have been, beside its window."""
    assert stay.until is not None
    longest, grid = stay.until - stay.since.least, tick
    return DwellRow(
        recipe=stay.recipe,
        load=stay.load,
        stage=stay.stage,
        label=stay.label,
        station=stay.station,
        dwell=as_decimal(longest, grid, "up"),
        least=as_decimal(stay.least, grid),
        most=None if stay.most is None else as_decimal(stay.most, grid),
        margin_min=as_decimal(longest - stay.least, grid, "down"),
        margin_max=None if stay.most is None else as_decimal(stay.most - longest, grid, "down"),
    )


def _remark(row: DwellRow) -> list[Content]:
    if row.margin_max is None or row.margin_max >= Decimal(0):
        return remark(row)
    words = f"lost, {-row.margin_max:f} too long"
    return [tag("span", *margin_sign("none"), words, class_="remark none")]
