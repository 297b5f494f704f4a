"""The head of the report: what the schedule achieves, and how good it is."""

from __future__ import annotations

from datetime import date
from xml.etree.ElementTree import Element

from ...analysis.figures.dwells import Margin, tightest
from ...base.numbers.decimals import mean_decimal, significant, told
from ...base.text import counted, listed, load_name
from ...planning.result import exact_time_per_load
from ...problem import Problem
from ..schedule.runnable import percent_out, side_by_side, under
from .case import Case
from .degree import degree_parts, idle_parts
from .markup import Content, tag, user
from .tables import margin_sign


def heading(case: Case) -> Element:
    """Name of the line, what it is, and when the report was written."""
    return heading_of(case.problem, "Hoist schedule", case.written)


def heading_of(problem: Problem, kind: str, written: date | None) -> Element:
    """Name of the line, its note, the kind of page, and when it was written."""
    parts: list[Content] = [
        tag("p", kind, class_="kind"),
        tag("h1", user(problem.name)),
    ]
    if problem.note:
        parts.append(tag("p", user(problem.note), class_="note"))
    if problem.source:
        parts.append(tag("p", "Data: ", user(problem.source), class_="note"))
    if written is not None:
        day = written.isoformat()
        parts.append(tag("p", "Report of ", tag("time", day, datetime=day), class_="note"))
    return tag("header", *parts)


def summary(case: Case) -> Element:
    """The figures people ask for first."""
    shown, unit = case.told, case.unit
    found = shown.figures
    per_load = f"{mean_decimal(found.time_per_load, case.tick):f} {unit}"
    of = "" if found.carriers_available is None else f"of {found.carriers_available} there are"
    cycle_time = f"{shown.cycle_time:f} {unit}"
    proof = [*_proof(case), *_warned(case)]
    cards = [
        card("Cycle time", cycle_time, _loads(case), *proof, name="big"),
        card("Loads per hour", significant(found.loads_per_hour, 4), f"one every {per_load}"),
        card(
            "Loads in process",
            f"{found.in_process_least} to {found.in_process_most}",
            f"{found.in_process_mean:.2f} on average",
        ),
        card("Carriers needed", str(found.carriers_needed), of),
        card("Smallest margin", *_tightest(case), name=f"margin {_margin(case)}"),
    ]
    return tag(
        "section",
        tag("h2", "Summary", id="summary", tabindex="-1"),
        tag("dl", *cards, class_="cards"),
        *_can_be_run(case),
        *degree_parts(case),
        *idle_parts(case),
        _hoist(case),
        aria_labelledby="summary",
    )


def card(title: str, value: Content, *under: Content, name: str = "") -> Element:
    parts: list[Element] = [tag("dt", title), tag("dd", value, class_="value")]
    parts += [tag("dd", part, class_="under") for part in under if part != ""]
    return tag("div", *parts, class_=f"card {name}".rstrip())


def _proof(case: Case) -> list[Content]:
    """How good the cycle time is known to be."""
    result, unit = case.result, case.unit
    if result is None:
        return [
            tag("strong", "\N{CHECK MARK} Checked", class_="badge"),
            "Every rule kept. Whether a shorter cycle exists was not asked.",
            *_forgives(case),
        ]
    if case.longer:
        assert result.runnable is not None and result.schedule is not None
        least = case.time(result.schedule.time(result.schedule.cycle))
        proved = "proved" if result.status == "optimal" else "not proved least"
        if result.runnable.met:
            badge = tag("strong", "\N{CHECK MARK} Can be run", class_="badge")
        else:
            badge = tag("strong", "Nearest found to what can be run", class_="badge open")
        kind = "least cycle" if result.status == "optimal" else "shortest cycle found"
        longer = f"Longer than the {kind}, {least}, {proved}"
        if result.loads_per_cycle != result.runnable.margin.loads_per_cycle:
            per_load = f"{mean_decimal(exact_time_per_load(result), case.tick):f} {unit} a load"
            longer = f"Takes longer per load than the {kind}, {per_load} at degree {result.degree}"
            longer += f", {proved}"
        if case.source is None:
            return [badge, f"{longer}, for what it forgives."]
        again = ", the bound was not proved again" if result.status == "optimal" else ""
        words = f", for what it forgives. Both were checked now{again}."
        return [badge, tag("span", f"{longer}, as stated in ", user(case.source), words)]
    if result.status == "optimal":
        badge = tag("strong", "\N{CHECK MARK} Proved least", class_="badge")
        bound = f"No schedule of degree {result.degree} is shorter"
    else:
        badge = tag("strong", "Not proved least", class_="badge open")
        gap = f", a gap of {result.gap:.1%}" if result.gap is not None else ""
        below = told(result.lower_bound or 0)
        bound = f"No schedule of degree {result.degree} is below {below} {unit}{gap}"
    took = f"search took {result.runtime:.1f} s."
    if case.source is None:
        return [badge, f"{bound}; {took}"]
    took = f" Its {took}" if result.runtime else ""
    words = f". The moves were checked now, the bound was not proved again.{took}"
    return [badge, tag("span", f"{bound}, as stated in ", user(case.source), words)]


def _forgives(case: Case) -> list[Content]:
    """Beside the check of moves from elsewhere: what becomes of their loads under the scatter."""
    found = case.margin
    if found is None:
        return []
    pace = "" if found.keeps_pace else ", and the planned pace is not kept"
    return [
        f"Simulated under {under(found)}: {percent_out(found)} of the loads out of window{pace}."
    ]


def _warned(case: Case) -> list[Content]:
    """Beside the proof of the least cycle: that it cannot be run as planned."""
    result = case.result
    if not case.warned or case.longer or result is None or result.margin is None:
        return []
    badge = tag("strong", "\N{WARNING SIGN} Cannot be run as planned", class_="badge scarce")
    return [
        badge,
        f"{percent_out(result.margin)} of the loads out of window: see the top of the page.",
    ]


def _loads(case: Case) -> str:
    loads = case.loads_per_cycle
    degree = "" if case.degree is None else f" (degree {case.degree})"
    return f"{counted(loads, 'load')} per cycle{degree}"


def _margin(case: Case) -> Margin:
    """The smallest size of margin of any dwell."""
    sizes = {row.margin for row in case.told.dwells}
    return next((size for size in ("none", "small") if size in sizes), "enough")


def _tightest(case: Case) -> tuple[Content, Content]:
    """The smallest margin below a maximum, and every dwell that has no more."""
    rows = tightest(case.told.dwells)
    if not rows:
        return "none", "no stage has a maximum"
    margin = rows[0].margin_max
    assert margin is not None
    loads: dict[tuple[str, str], list[str]] = {}
    for row in rows:
        loads.setdefault((row.recipe, row.label), []).append(load_name(row.load))
    named = [
        f"{label} ({listed(numbers)})" if case.told.several_loads else label
        for (_, label), numbers in loads.items()
    ]
    where = "left in " if len(rows) == 1 else f"left in {len(rows)} dwells: "
    value = tag("span", *margin_sign(_margin(case)), f"{margin:f} {case.unit}")
    return value, tag("span", where, user(listed(named)))


def _can_be_run(case: Case) -> list[Element]:
    """The least cycle beside the shortest found that can be run."""
    found = None if case.result is None else side_by_side(case.result)
    if found is None:
        return []
    # Roles spelled out as for the board: on a narrow screen it is laid out as no table is.
    heads = [
        tag("th", title, scope="col", role="columnheader") for title in ("Schedule", *found.titles)
    ]
    rows = [
        tag(
            "tr",
            tag("th", name, scope="row", role="rowheader"),
            *(tag("td", user(cell), role="cell") for cell in cells),
            role="row",
        )
        for name, *cells in zip(found.names, *found.columns, strict=True)
    ]
    table = tag(
        "table",
        tag("thead", tag("tr", *heads, role="row"), role="rowgroup"),
        tag("tbody", *rows, role="rowgroup"),
        class_="both",
        role="table",
    )
    return [
        tag("h3", "What can be run"),
        tag(
            "div",
            table,
            class_="scrolled",
            role="region",
            aria_label="The least cycle and what can be run",
            tabindex="0",
        ),
        tag("p", found.reading, class_="note"),
    ]


def _hoist(case: Case) -> Element:
    """How the hoist spends the cycle: one bar, and the same in words."""
    found = case.told.figures
    shares = (
        ("loaded", "carrying", found.hoist_loaded),
        ("empty", "travelling empty", found.hoist_empty),
        ("idle", "waiting", found.hoist_waiting),
    )
    at, parts = 0.0, []
    for name, _, share in shares:
        width = 1000 * share
        rect = tag("rect", x=f"{at:.1f}", y="0", width=f"{width:.1f}", height="14", class_=name)
        parts.append(rect)
        at += width
    words = [
        tag("li", tag("i", class_=f"swatch {name}"), f" {share:.1%} {word}")
        for name, word, share in shares
    ]
    bar = tag("svg", *parts, viewBox="0 0 1000 14", preserveAspectRatio="none", aria_hidden="true")
    return tag("div", tag("h3", "Hoist utilisation"), bar, tag("ul", *words), class_="hoist-time")
