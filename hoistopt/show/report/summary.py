"""The head of the report: what the schedule achieves, and how good it is."""

from __future__ import annotations

from xml.etree.ElementTree import Element

from ...analysis.figures.dwells import tightest
from ...base.text import listed
from ...planning.result import Result
from .case import Case
from .markup import Content, tag, user


def heading(case: Case) -> Element:
    """Name of the line, what it is, and when the report was written."""
    problem = case.problem
    parts: list[Content] = [
        tag("p", "Hoist schedule", class_="kind"),
        tag("h1", user(problem.name)),
    ]
    if problem.note:
        parts.append(tag("p", user(problem.note), class_="note"))
    if problem.source:
        parts.append(tag("p", "Data: ", user(problem.source), class_="note"))
    if case.written is not None:
        written = case.written.isoformat()
        parts.append(tag("p", "Report of ", tag("time", written, datetime=written), class_="note"))
    return tag("header", *parts)


def summary(case: Case) -> Element:
    """The figures people ask for first."""
    told, unit = case.told, case.unit
    found = told.figures
    per_load = f"{float(found.time_per_load):.6g} {unit}"
    of = "" if found.carriers_available is None else f"of {found.carriers_available} there are"
    cycle_time = f"{told.cycle_time:f} {unit}"
    cards = [
        _card("Cycle time", cycle_time, _loads(case), *_proof(case.result, unit), big=True),
        _card("Loads per hour", f"{found.loads_per_hour:.4g}", f"one every {per_load}"),
        _card(
            "Loads in process",
            f"{found.in_process_least} to {found.in_process_most}",
            f"{found.in_process_mean:.2f} on average",
        ),
        _card("Carriers needed", str(found.carriers_needed), of),
        _card("Closest to a maximum", *_tightest(case)),
    ]
    return tag(
        "section",
        tag("h2", "Summary", id="summary", tabindex="-1"),
        tag("dl", *cards, class_="cards"),
        _hoist(case),
        aria_labelledby="summary",
    )


def _card(name: str, value: str, *under: Content, big: bool = False) -> Element:
    parts: list[Element] = [tag("dt", name), tag("dd", value, class_="value")]
    parts += [tag("dd", part, class_="under") for part in under if part != ""]
    return tag("div", *parts, class_="card big" if big else "card")


def _proof(result: Result | None, unit: str) -> list[Content]:
    """How good the cycle time is known to be."""
    if result is None:
        return [
            tag("strong", "\N{CHECK MARK} Checked", class_="badge"),
            "Every rule kept. Whether a shorter cycle exists was not asked.",
        ]
    if result.status == "optimal":
        return [
            tag("strong", "\N{CHECK MARK} Proved least", class_="badge"),
            f"No schedule of degree {result.degree} is shorter; "
            f"search took {result.runtime:.1f} s.",
        ]
    gap = f", a gap of {result.gap:.1%}" if result.gap is not None else ""
    return [
        tag("strong", "Not proved least", class_="badge open"),
        f"No schedule of degree {result.degree} is below {result.lower_bound} {unit}{gap}; "
        f"search took {result.runtime:.1f} s.",
    ]


def _loads(case: Case) -> str:
    loads = case.loads_per_cycle
    degree = "" if case.degree is None else f" (degree {case.degree})"
    return f"{loads} load{'s' * (loads != 1)} per cycle{degree}"


def _tightest(case: Case) -> tuple[str, Content]:
    """The least margin below a maximum, and every dwell that has no more."""
    rows = tightest(case.told.dwells)
    if not rows:
        return "none", "no stage has a maximum"
    margin = rows[0].margin_max
    assert margin is not None
    loads: dict[tuple[str, str], list[str]] = {}
    for row in rows:
        loads.setdefault((row.recipe, row.label), []).append(str(row.load))
    named = [
        f"{label} (load{'s' * (len(numbers) > 1)} {listed(numbers)})"
        if case.told.several_loads
        else label
        for (_, label), numbers in loads.items()
    ]
    where = "left in " if len(rows) == 1 else f"left in {len(rows)} dwells: "
    return f"{margin:f} {case.unit}", tag("span", where, user(listed(named)))


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
    return tag("div", tag("h3", "The hoist's time"), bar, tag("ul", *words), class_="hoist-time")
