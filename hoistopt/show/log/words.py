"""What a log came to, in sentences."""

from __future__ import annotations

from ...base.numbers.decimals import per_cent, to_places
from ...base.numbers.shares import Share
from ...base.text import counted
from ...plant.judging.judge import JudgedLog
from ...plant.judging.stops import RULE
from .shown import hours, length, moment

CAPABILITY = (
    "Ppk as ISO 22514-2 has it: the distance from mean to limit over three standard deviations, "
    "which takes dwells for normally distributed; they seldom are. Beside it the same from the "
    "median and the 0.135 % and 99.865 % quantiles, which does not, where there are stays enough. "
    "Neither says much of a process that stops now and then."
)
MEANING = (
    "A stay is counted from the event lower, taken for the end of lowering, to the event lift, "
    "taken for the start of lifting. A controller that logs other moments shifts every dwell. A "
    "clock set forward cannot be told from a stop."
)


def log_words(found: JudgedLog) -> list[str]:
    """The answer in words, a sentence or a few an item."""
    return [
        *found.log.notes,
        _made(found),
        _kept(found),
        *_worst(found),
        *_near(found),
        *_not_judged(found),
        *_stopped(found),
        *_unexplained(found),
        MEANING,
        CAPABILITY,
    ]


def _interval(share: Share) -> str:
    low, high = (per_cent(end, places=2) for end in (share.low, share.high))
    return f"95 % interval {low} % to {high} %"


def _made(found: JudgedLog) -> str:
    times, zone, running = found.log.frame.get_column("time"), found.log.zone, found.running
    begin, end = (moment(int(str(t)), zone) for t in (times.min(), times.max()))
    told_of = f"{len(found.log.frame)} events from {begin} to {end}: {running.loads} loads out"
    if running.loads_per_hour is None or not running.loads:
        return f"{told_of}."
    told_of += f", {to_places(running.loads_per_hour, 2):f} an hour"
    if running.stops and running.loads_per_running_hour is not None:
        told_of += f", {to_places(running.loads_per_running_hour, 2):f} an hour without the stops"
    return f"{told_of}."


def _kept(found: JudgedLog) -> str:
    whole = found.within
    if not whole.loads:
        return "No stay could be judged."
    under = sum(stage.under for stage in found.stages)
    over = sum(stage.over for stage in found.stages)
    return (
        f"{counted(whole.loads, 'stay')} judged: {over} over their maximum, "
        f"{under} under their minimum, "
        f"{per_cent(whole.share, places=2)} % within their windows ({_interval(whole)}, as "
        f"{found.stays.alike}s differ)."
    )


def _worst(found: JudgedLog) -> list[str]:
    unit, zone = found.problem.unit, found.log.zone
    said = []
    over = max(found.stages, key=lambda stage: stage.most_over or 0, default=None)
    if over is not None and over.most_over:
        said.append(
            f"Furthest over: {over.place.stage.label} ({over.place.recipe}), by "
            f"{length(over.most_over, found.problem):f} {unit}, lifted "
            f"{moment(over.when_over, zone)}."
        )
    under = max(found.stages, key=lambda stage: stage.most_under or 0, default=None)
    if under is not None and under.most_under:
        said.append(
            f"Furthest under: {under.place.stage.label} ({under.place.recipe}), by "
            f"{length(under.most_under, found.problem):f} {unit}, lifted "
            f"{moment(under.when_under, zone)}."
        )
    most = max(found.stages, key=lambda stage: stage.under + stage.over, default=None)
    if most is not None and most.under + most.over:
        said.append(
            f"Most often out: {most.place.stage.label} ({most.place.recipe}), "
            f"{most.under + most.over} of {most.stays} stays."
        )
    return said


def _near(found: JudgedLog) -> list[str]:
    near = sum(stage.near for stage in found.stages)
    if not near:
        return []
    step = length(found.stays.resolution, found.problem)
    return [
        f"The log's times are multiples of {step:f} {found.problem.unit}, so a dwell may be off by "
        f"almost that much: {near} stays lie so near to a limit that the other verdict is "
        "possible."
    ]


def _not_judged(found: JudgedLog) -> list[str]:
    import polars as pl

    reasons = (
        found.stays.frame.filter(pl.col("verdict") == "not judged")
        .group_by("why")
        .len()
        .sort("len", "why", descending=[True, False])
    )
    if not len(reasons):
        return []
    parts = "; ".join(f"{count}: {why}" for why, count in reasons.rows())
    return [f"Stays not judged: {reasons.get_column('len').sum()}. {parts}."]


def _stopped(found: JudgedLog) -> list[str]:
    running = found.running
    usual = f"{length(running.longest_usual, found.problem):f} {found.problem.unit}"
    rule = (
        f"{RULE} Here: {usual}." if found.by_rule else f"A stop is longer than {usual}, as asked."
    )
    if not running.stops:
        return [f"No stop. {rule}"]
    loaded = [stop for stop in running.stops if stop.inside]
    empty = len(running.stops) - len(loaded)
    said = f"{counted(len(running.stops), 'stop')}, {hours(running.stopped):f} h in all"
    if empty:
        said += f"; in {empty} of them no load stood in a tank"
    lost = sum(stop.lost for stop in loaded)
    over = sum(stop.over for stop in loaded)
    cost = (
        f" Those with loads inside cost {hours(sum(stop.length for stop in loaded)):f} h, in which "
        f"the line makes {to_places(lost, 1):f} loads at its usual rate, and "
        f"{counted(over, 'stay')} that lasted through one ended over the maximum."
    )
    return [f"{said}.{cost if loaded else ''} {rule}"]


def _unexplained(found: JudgedLog) -> list[str]:
    count = len(found.faults.listed) + found.faults.unlisted
    said = []
    if found.log.left_out:
        said.append(f"Rows left out, as the mapping says: {found.log.left_out}.")
    if count:
        said.append(
            f"{counted(count, 'row or event', 'rows or events')} could not be read or "
            "explained; each is listed with its line, and what is left is judged."
        )
    else:
        said.append("Every row could be read, and every event explained.")
    if found.joined:
        said.append(
            f"Loads followed on over a missing event, as no other could be meant: {found.joined}."
        )
    return said
