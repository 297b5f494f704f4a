"""Basis and assumptions: how the line was read, and what is left out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from xml.etree.ElementTree import Element

from ...base.numbers.decimals import as_decimal
from ...base.text import listed, plural
from ...problem import Motion, Problem, Station
from ..tables.jsonfile import versions
from .case import Case
from .markup import Content, tag, user

SECOND_HOIST = "A second hoist on the same track"
VARYING = "Travel and lifting times that vary from one move to the next"
NOT_MODELLED = (
    "Chemistry: bath temperature, concentration, rectifier ramps and drag-out",
    "People: breaks, late racking, hand moves between cycles",
    "Faults: a stopped hoist, a failed pick, a blocked station",
    SECOND_HOIST,
    VARYING,
)


def assumptions(case: Case) -> Element:
    """How to read the figures."""
    items = [
        tag("div", tag("dt", name), tag("dd", *content))
        for part in (_optimum, _times, _ends, _rests, _rules, _numbers, _player)
        for name, content in part(case)
    ]
    warnings = case.problem.warnings
    checked = [tag("h3", "To be checked in the problem file")] if warnings else []
    checked += [tag("ul", *(tag("li", text) for text in warnings))] if warnings else []
    several = len(case.problem.hoists) > 1
    left_out = [text for text in NOT_MODELLED if text != SECOND_HOIST or not several]
    if case.result is not None and case.result.margin is not None:
        # Those are simulated, once the schedule stands.
        left_out.remove(VARYING)
        left_out.append(f"{VARYING}, in the plan itself; what they do to it is simulated")
    missing = tag("ul", *(tag("li", text + ".") for text in left_out))
    return tag(
        "section",
        tag("h2", "Basis and assumptions", id="assumptions"),
        tag("dl", *items, class_="assumptions"),
        *checked,
        tag("h3", "Not modelled"),
        missing,
        class_="behind",
        aria_labelledby="assumptions",
    )


Item = tuple[str, list[Content]]


def _optimum(case: Case) -> Iterator[Item]:
    tick = f"{as_decimal(case.tick, case.tick):f} {case.unit}"
    if case.result is not None:
        yield (
            "Optimal",
            [
                f"The least cycle time, on a grid of {tick}, for which any schedule of this "
                "degree keeps every rule below. Of other degrees it says nothing.",
                *_stated(case),
            ],
        )
        yield (
            "Rounding",
            [
                f"For planning, every loaded move, empty travel and minimum was rounded up to "
                f"{tick} and every maximum down, by one more after a rounded move, so the true "
                "dwell never exceeds its maximum"
                + (
                    ", but for fixed times: those may end late, by less than a tick."
                    if any(row.late for row in case.told.dwells)
                    else "."
                )
            ],
        )
    yield (
        "Checking",
        [
            "An independent checker replayed the moves from an empty line with exact times, "
            "unrounded, and found every rule kept. All figures here are what it saw. Shown "
            f"times that have no short decimal are rounded to {tick}: durations up, margins down."
        ],
    )


def _stated(case: Case) -> list[Content]:
    if case.source is None:
        return []
    return [
        " Bound and proof are what ",
        user(case.source),
        " states of the line as it was then; neither was worked out again for this report.",
    ]


def _times(case: Case) -> Iterator[Item]:
    problem, runs = case.problem, case.cycle_runs
    listed = sum((run.source, run.target) in problem.loaded_times for run in runs)
    parts = []
    if listed:
        parts.append(f"{listed} of the {len(runs)} loaded moves come from a table of times")
    if listed < len(runs):
        motion = _motions(problem, loaded=True)
        parts.append(
            f"{len(runs) - listed} of the {len(runs)} loaded moves are worked out from lift, drip, "
            f"distance and lowering ({motion})"
        )
    yield ("Loaded moves", ["; ".join(parts) + "."])
    # An empty travel of no time between equal places needs no source.
    moved = [run for run in runs if run.came_from not in (None, run.source)]
    listed = sum((run.came_from, run.source) in problem.empty_times for run in moved)
    parts = []
    if listed:
        parts.append(f"{listed} of {len(moved)} come from a table of times")
    if listed < len(moved):
        motion = _motions(problem, loaded=False)
        parts.append(f"{len(moved) - listed} of {len(moved)} are worked out ({motion})")
    yield ("Empty travel", ["; ".join(parts or ["None in this cycle"]) + "."])


def _motions(problem: Problem, *, loaded: bool) -> str:
    """How the hoist travels, or each of several where they differ."""
    told = {
        hoist.name: _motion(hoist.loaded if loaded else hoist.empty, problem)
        for hoist in problem.hoists
    }
    if len(set(told.values())) == 1:
        return next(iter(told.values()))
    return "; ".join(f"hoist {name}: {text}" for name, text in told.items())


def _motion(motion: Motion | None, problem: Problem) -> str:
    if motion is None:
        return "between stations at one place"
    length, unit = problem.length_unit, problem.unit
    ramp = (
        "top speed at once"
        if motion.acceleration is None
        else f"acceleration and braking {motion.acceleration:f} {length}/{unit}\N{SUPERSCRIPT TWO}"
    )
    settling = f", settling {motion.settling:f} {unit}" if motion.settling else ""
    return f"speed {motion.speed:f} {length}/{unit}, {ramp}{settling}"


def _ends(case: Case) -> Iterator[Item]:
    for station in case.stations:
        if station.loads or station.unloads:
            yield _END_NAMES[station.kind], [user(station.name), ": ", _occupied(case, station)]
    carriers, unit = case.problem.carriers, case.unit
    count = "Any number" if carriers.count is None else f"At most {carriers.count}"
    how = (
        "the hoist carries each empty carrier back to the load station"
        if carriers.return_ == "hoist"
        else f"empty carriers come back outside the line in {carriers.return_time:f} {unit}"
    )
    if any(station.kind == "load-unload" for station in case.stations):
        how = "carriers are unloaded and loaded again where they stand"
    yield "Carriers", [f"{count} may circulate; {how}."]


_END_NAMES = {"load": "Load station", "unload": "Unload station", "load-unload": "Load and unload"}


def _occupied(case: Case, station: Station) -> str:
    stays = f"each stands there at least {station.min_occupation:f} {case.unit}"
    if station.capacity == "unlimited":
        return f"read as an unlimited buffer; {stays}."
    places = "one carrier" if station.capacity == 1 else f"{station.capacity} carriers"
    return f"read as holding {places} at a time; {stays}."


def _rests(case: Case) -> Iterator[Item]:
    for station in case.stations:
        if station.min_rest:
            places = "" if station.capacity == 1 else "each of its places "
            yield (
                "Rest",
                [
                    user(station.name),
                    f": {places}stays empty for at least {station.min_rest:f} {case.unit} from the "
                    "start of lifting a carrier until the next is set down.",
                ],
            )


def _rules(case: Case) -> Iterator[Item]:
    problem = case.problem
    yield (
        "Dwell",
        ["From the end of lowering to the start of the next lifting of the same carrier."],
    )
    track = problem.track
    hoists = (
        "One hoist, one carrier at a time; between any two moves there is time to travel empty."
        if track is None or len(problem.hoists) == 1
        else f"{len(problem.hoists)} hoists, one carrier each at a time; of any two neighbours "
        f"the middles are at least {track.clearance:f} {problem.length_unit} apart at all times."
    )
    yield "Hoist", [hoists]
    crowded = [s for s in case.stations if isinstance(s.capacity, int) and s.capacity > 1]
    tanks = [s for s in crowded if not (s.loads or s.unloads)]
    content: list[Content] = ["A tank holds one carrier"]
    for station in tanks:
        order = ", first in first out" if station.order == "fifo" else ", in any order"
        content += ["; ", user(station.name), f" holds {station.capacity}{order}"]
    yield "Tanks", [*content, "."]
    if any(len(stage.station) > 1 for recipe in problem.recipes for stage in recipe.stages):
        yield (
            "Alternatives",
            ["Where several stations may serve a stage, the choice repeats in every cycle."],
        )
    if problem.crossings:
        yield (
            "Crossings",
            [
                "Loads from certain tanks pass over others not at all, or only after a longer "
                "drip, as the problem file says."
            ],
        )
    yield (
        "Filling and emptying",
        [
            "From an empty line the hoist keeps the times of the cycle and leaves out steps "
            "whose carrier is not there yet; running out, the same without new loads."
        ],
    )


def _numbers(case: Case) -> Iterator[Item]:
    several = case.told.several_loads
    yield (
        "Numbers",
        [
            "Stations are numbered as the problem file lists them, from 0, as in step tables "
            "for a controller unless other numbers are asked for there. L1 is the first load "
            f"of each cycle{', L2 the second, and so on' if several else ''}; C1 is the first "
            "carrier of the run."
        ],
    )


def _player(case: Case) -> Iterator[Item]:
    drawn = [
        "Between two moves the hoist travels at once and waits where it will lift next. "
        if len(case.problem.hoists) == 1
        else "Each hoist is where the checker has it, whether or not there is a load to carry; its "
        "number is its place along the track, odd ones on a round plate, even ones on a square. ",
        "Hook and ropes are a sketch.",
    ]
    if any(run.lift is None for run in case.cycle_runs):
        drawn.append(
            "Of moves from a table only the total is known: a quarter is drawn as lifting, "
            "half as travel and a quarter as lowering."
        )
    yield "Player", [" ".join(text.strip() for text in drawn)]


def out_of_service(problem: Problem) -> list[str]:
    """Which tanks are out of service; none where all are in it."""
    out = [station.name for station in problem.stations if station.out_of_service]
    if not out:
        return []
    are = "is" if len(out) == 1 else "are"
    return [
        f"{listed(out)} {are} out of service: planned without {plural(len(out), 'it', 'them')}."
    ]


def warning(cautions: Sequence[str]) -> Element:
    """The cautions again, where nobody can miss them: before the first figure."""
    listed = [tag("p", text) for text in cautions]
    return tag("div", *listed, class_="warning", role="note", aria_label="Cautions")


def closing(cautions: Sequence[str]) -> Element:
    """The cautions, and what made the report."""
    found = versions()
    made = ", ".join(f"{name} {version}" for name, version in found.items())
    return tag(
        "footer",
        tag("h2", "Cautions", id="cautions"),
        tag("ul", *(tag("li", text) for text in cautions), class_="cautions"),
        tag("p", f"Made with {made}.", class_="note"),
        aria_labelledby="cautions",
    )
