"""What a fit came to, in sentences."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from ...base.numbers.decimals import per_cent, significant, told
from ...base.text import counted, listed
from ...planning.result import Result
from ...plant.fit.answer import Fit, Physics
from ...plant.fit.outliers import FAR
from .data import Cycles
from .table import off_by, to_four

_HOIST = {"loaded": "the loaded hoist", "empty": "the empty hoist", "all": "the hoist"}


def fit_sentences(fit: Fit, cycles: Cycles | None) -> list[str]:
    """What a fit came to, in sentences; what it does to the cycle time comes last."""
    return [
        *fit.readings.notes,
        *_which(fit),
        _read(fit),
        *(_verdict(each, fit) for each in fit.physics),
        *_sums(fit),
        *_held(fit),
        *_at_most(fit),
        *_scatter(fit),
        *_off(fit),
        *([] if cycles is None else _cycle_time(cycles, fit.problem.unit)),
    ]


def _which(fit: Fit) -> Iterator[str]:
    hoists = fit.problem.hoists
    if len(hoists) > 1:
        yield (
            f"Times of the hoist {hoists[fit.readings.hoist].name}. A station's own times hold for "
            "every hoist. Where it gave way to another one, that is in its times, unless so far "
            "off that they were set aside."
        )


def _read(fit: Fit) -> str:
    readings, unit = fit.readings, fit.problem.unit
    step = f", to {significant(readings.step, 3)} {unit}" if readings.step else ""
    far = len(fit.aside)
    aside = "none was" if not far else "1 was" if far == 1 else f"{far} were"
    return (
        f"{readings.count} times of {len(readings.groups)} things were read{step}; {aside} set "
        f"aside as more than {FAR:g} robust standard deviations off."
    )


def _verdict(each: Physics, fit: Fit) -> str:
    unit = fit.problem.unit
    figures = (
        f"root mean square misfit {significant(each.misfit, 2)} {unit}, scatter of single "
        f"readings {significant(each.scatter, 2)} {unit}"
    )
    of = _HOIST[each.motion]
    if each.chance is None:
        return (
            f"Whether times of {of} go by lift, speed and the rest cannot be tested: too few "
            f"things were timed, or none of them several times ({figures})."
        )
    chance = "below 0.001" if each.chance < 0.001 else significant(each.chance, 2)
    if each.fits:
        return f"Times of {of} go by lift, speed and the rest: {figures}, chance {chance}."
    if len(fit.problem.hoists) > 1:
        return (
            f"Times of {of} do not go by lift, speed and the rest: {figures}, chance {chance}. The "
            "changed file has no table, which would hold for every hoist: the figures fitted are "
            "the best on average."
        )
    return (
        f"Times of {of} do not go by lift, speed and the rest: {figures}, chance {chance}. The "
        "changed file has a table of the times measured; what was not timed goes by the figures."
    )


def _sums(fit: Fit) -> Iterator[str]:
    for each in fit.sums:
        error = f", standard error {significant(each.error, 2)}" if each.error is not None else ""
        names = listed([str(figure) for figure in each.figures])
        yield (
            f"Of {names} only the sum shows: {to_four(each.value)} {fit.problem.unit}{error}; it "
            "is shared out as in the file."
        )


def _held(fit: Fit) -> Iterator[str]:
    why: dict[str, list[str]] = {}
    for each in fit.figures:
        if each.how == "held":
            why.setdefault(each.why, []).append(str(each.figure))
    for reason, names in why.items():
        yield f"Not fitted: {listed(names)}; {reason}."


def _at_most(fit: Fit) -> Iterator[str]:
    if fit.readings.at_once is not None:
        known = {(each.timed.source, each.timed.target) for each in fit.readings.bounds}
        told = len(known & fit.readings.at_once)
        yield (
            f"Of {len(known)} empty travels in the log the plan has the hoist lift at once after "
            f"{told}. Only those tell how long empty travel takes; the others count as the file "
            "has them, longer as far as any of those is, and never longer than was seen."
        )
    elif fit.readings.origin == "log" and fit.readings.bounds:
        yield (
            "A log hides empty travel: from a lowering to the next lift the hoist may have "
            "waited. Times of empty travel are the least ones seen, so the hoist has done it in "
            "that, and may be quicker; no error can be told, and a stopwatch tells more."
        )


def _scatter(fit: Fit) -> Iterator[str]:
    if fit.scatters:
        words = "; ".join(f'"{scatter}"' for scatter in fit.scatters)
        read = "what reading the times adds is in it, what was set aside is not"
        yield f"Scatter for jitter: {words} ({read})."


def _off(fit: Fit) -> Iterator[str]:
    for what, name in (
        ("lift", "Lifts"),
        ("travel", "Loaded travels"),
        ("lower", "Lowerings"),
        ("move", "Loaded moves"),
        ("empty", "Empty travels"),
    ):
        pairs = [p for p in fit.pairs if p.timed.what == what and p.today is not None]
        if not pairs:
            continue
        if what == "empty" and fit.readings.origin == "log":
            slow = [pair for pair in pairs if off_by(pair) < 0]
            yield (
                f"{name}: of {_places(what, len(pairs))} {len(slow)} were done in less than "
                "today's file says."
            )
            continue
        off = [off_by(pair) for pair in pairs]
        mean = sum(off) / len(off)
        yield (
            f"{name} take {to_four(abs(mean))} {fit.problem.unit} "
            f"{'longer' if mean >= 0 else 'less'} than today's file says, on average of "
            f"{_places(what, len(off))}; from "
            f"{to_four(min(off))} to {to_four(max(off))}."
        )


def _places(what: str, count: int) -> str:
    if what in ("lift", "lower"):
        return counted(count, "station")
    return f"{counted(count, 'pair')} of stations"


def _bound(result: Result, unit: str) -> str:
    bound = result.lower_bound
    return f"cannot be below {told(bound)} {unit}" if bound else "has no bound yet"


def _cycle_time(cycles: Cycles, unit: str) -> Iterator[str]:
    before, after = cycles.before, cycles.after
    if after is None:
        yield "Stopped before the changed file was solved."
    for file, result in (("today's", before), ("the changed", after)):
        if result is not None and result.cycle_time is None:
            reason = f" {result.reason}" if result.reason else ""
            yield f"With {file} file no schedule was found.{reason}"
    if before is None or after is None or before.cycle_time is None or after.cycle_time is None:
        return
    change = round(after.cycle_time - before.cycle_time, 6)
    share = per_cent(Fraction(abs(change)) / Fraction(before.cycle_time), 2)
    how = "no change"
    if change:
        how = f"{told(abs(change))} {unit} ({share} %) {'longer' if change > 0 else 'shorter'}"
    proof = "both proved"
    if any(result.status != "optimal" for result in (before, after)):
        today, changed = (_bound(result, unit) for result in (before, after))
        proof = (
            f"not both proved: today's {today}, the changed one's {changed}, and a longer "
            "--time-limit tells more"
        )
    yield (
        f"Least cycle time at degree {after.degree}: {told(before.cycle_time)} {unit} with "
        f"today's file, {told(after.cycle_time)} {unit} with the changed one, {how}; {proof}."
    )
    if cycles.broken:
        yield (
            f"The schedule of today's file breaks {counted(cycles.broken, 'rule')} on the line "
            "with the changed times: make schedules anew."
        )
