"""The report of a programme: figures, tables, diagram, and a player in absolute time."""

from __future__ import annotations

from datetime import date
from xml.etree.ElementTree import Element

from ...base.numbers.decimals import as_decimal, per_cent, told
from ...base.text import listed, load_name
from ...checker import ProgrammeRefused, ProgrammeReplay
from ...planning.plan_result import Plan
from ..programme.cautions import cautions
from ..programme.joined import repeats_words
from ..programme.rows import busy_share, load_rows, tick_of
from ..timeway.lanes import track_order
from .assumptions import closing, out_of_service, warning
from .diagram import programme_svg
from .hoists import programme_hoists
from .markup import Content, tag, user
from .once_record import once_data, places_of, scrub_of
from .once_tables import dwell_table, load_table, move_table, order_table
from .page import diagram_section, margin_section, top, whole_page
from .player import played, scrolled
from .summary import card, heading_of


def programme_html(
    seen: ProgrammeReplay, plan: Plan | None = None, written: date | None = None
) -> str:
    """The report on a programme as one self-contained HTML page.

    Parameters
    ----------
    seen : ProgrammeReplay
        What the checker saw; it must be clean.
    plan : Plan, optional
        What planning came to: proof, bound, orders and their lateness.
    written : date, optional
        The day to print on the report. The same input gives the same page.

    Raises
    ------
    ProgrammeRefused
        When a rule was broken: nothing about such a programme is shown.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> plan = hoistopt.plan(problem, [hoistopt.Order("Cases", count=2)])
    >>> hoistopt.programme_html(plan.replay, plan).startswith("<!doctype html>")
    True
    """
    if not seen.clean:
        raise ProgrammeRefused(seen)
    problem = seen.problem
    stations = track_order(problem)
    scrub = f"{told(scrub_of(seen))} {problem.unit}"
    steps = scrolled(move_table(seen), "Moves of the programme", "steps-box")
    told_of = cautions(seen)
    body = [
        *top(heading_of(problem, "Hoist programme", written)),
        warning([*out_of_service(problem), *told_of]),
        tag(
            "main",
            _summary(seen, plan),
            played(problem, stations, places_of(seen, stations), scrub, steps, "Load"),
            diagram_section("Diagram", programme_svg(seen), _described(seen)),
            *programme_hoists(seen),
            margin_section(dwell_table(seen)),
            _basis(seen),
        ),
        closing(told_of),
    ]
    return whole_page(f"{problem.name} \N{EN DASH} hoist programme", body, once_data(seen))


def _described(seen: ProgrammeReplay) -> str:
    several = len(seen.problem.hoists) > 1
    line = "a line is a hoist, each with its mark" if several else "the line is the hoist"
    return (
        f"Diagram of a programme of {len(seen.runs)} moves: time runs to the right, stations "
        f"have lanes in track order, bars are loads standing there with their numbers, {line}. The "
        "tables of moves and of dwells hold the same figures."
    )


def _summary(seen: ProgrammeReplay, plan: Plan | None) -> Element:
    problem, tick = seen.problem, tick_of(seen)
    inside = f"{len(seen.left)} in the line yet" if seen.left else "none is left in the line"
    title = "Finish" if seen.programme.repeats is None else "Moves shown until"
    rows = [row for row in load_rows(seen) if row.margin is not None]
    tightest = min(rows, key=lambda row: row.margin or 0, default=None)
    if tightest is None or tightest.margin is None:
        margin: list[Content] = ["none", "no stage has a maximum"]
    else:
        where = tag("span", f"{load_name(tightest.load)} in ", user(tightest.tightest))
        margin = [f"{tightest.margin:f} {problem.unit}", where]
    finish = f"{as_decimal(seen.finish, tick):f} {problem.unit}"
    cards = [
        card(title, finish, f"{len(seen.runs)} moves", *_proof(plan, seen), name="big"),
        card("Loads out", str(len(seen.out)), inside),
        _busy(seen),
        card("Least margin", *margin, name="margin"),
    ]
    onward = []
    if seen.programme.repeats is not None:
        onward = [tag("p", repeats_words(seen))]
    ordered = None if plan is None else order_table(plan)
    tables = [*([] if ordered is None else [(ordered, "Orders")]), (load_table(seen), "Loads")]
    boxes = [
        tag("div", table, class_="scrolled", role="region", aria_label=name, tabindex="0")
        for table, name in tables
    ]
    return tag(
        "section",
        tag("h2", "Summary", id="summary", tabindex="-1"),
        tag("dl", *cards, class_="cards"),
        *onward,
        *boxes,
        aria_labelledby="summary",
    )


def _busy(seen: ProgrammeReplay) -> Element:
    """How busy the hoist is, or each of several."""
    hoists = seen.problem.hoists
    if len(hoists) == 1:
        busy = per_cent(busy_share(seen))
        return card("Hoist carries", f"{busy} %", "of the time until then")
    shares = [per_cent(busy_share(seen, hoist.name)) for hoist in hoists]
    named = [
        tag("span", user(hoist.name or ""), f" {share} %")
        for hoist, share in zip(hoists, shares, strict=True)
    ]
    mean = sum(busy_share(seen, hoist.name) for hoist in hoists) / len(hoists)
    mean_told = f"{per_cent(mean)} %"
    return card("Hoists carry, mean", mean_told, "of the time until then", *named)


def _proof(plan: Plan | None, seen: ProgrammeReplay) -> list[Content]:
    """How good the programme is known to be."""
    checked = tag("strong", "\N{CHECK MARK} Checked", class_="badge")
    if plan is None:
        unasked = "Whether a better programme exists was not asked."
        return [checked, f"Every {_kept(seen)}. {unasked}"]
    if plan.promised:
        return [checked, "Beside moves that were promised and kept."]
    if plan.status == "optimal":
        return [tag("strong", "\N{CHECK MARK} Proved best", class_="badge"), plan.summary()]
    return [tag("strong", "Not proved best", class_="badge open"), plan.summary()]


def _kept(seen: ProgrammeReplay) -> str:
    """What the checker found kept: not the maxima of loads that were given up."""
    lost = sorted({one.load for one in seen.overstays})
    if not lost:
        return "rule kept"
    return f"rule kept but the maxima of lost loads, {listed(list(map(load_name, lost)))}"


def _basis(seen: ProgrammeReplay) -> Element:
    state = "an empty line" if seen.state.empty else "the state of the line that it was given"
    made = "every move is made once"
    if seen.programme.repeats is not None:
        made = "the moves of the cycle are made again and again, of which some cycles are shown"
    several = len(seen.problem.hoists) > 1
    goes = (
        "Between two moves a hoist goes at once to where it will lift next, and waits there, but "
        "for the travels to give way; ways of changing speed are drawn in straight parts."
        if several
        else "Between two moves the hoist travels at once and waits where it will lift next."
    )
    sentences = [
        f"The programme begins with {state}; time 0 is that moment, and {made}.",
        "An independent checker replayed the moves with exact times, unrounded, and found every "
        f"{_kept(seen)}. All figures here are what it saw. Shown times that have no short decimal "
        f"are rounded to {told(tick_of(seen))} {seen.problem.unit}: durations up, margins down.",
        "Dwell: from the end of lowering to the start of the next lifting of the same load. Where "
        "a time of the state is in doubt, a dwell is told as a range, and its window holds for "
        "all of it.",
        "Loads are named by their numbers, L1 and on. At the ends of the line people put loads "
        "there and take them away; the player does not draw them there.",
        f"{goes} Hook and ropes are a sketch.",
    ]
    return tag(
        "section",
        tag("h2", "Basis and assumptions", id="assumptions"),
        tag("ul", *(tag("li", sentence) for sentence in sentences)),
        class_="behind",
        aria_labelledby="assumptions",
    )
