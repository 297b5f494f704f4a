"""What stands under a programme: what this very one calls for, then the standing caution."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from ...analysis.figures.cautions import standing
from ...base.numbers.decimals import as_decimal, told
from ...base.text import listed, plural
from ...checker import Overstay, ProgrammeReplay
from ...schedule.state_checks import overstays
from .rows import tick_of, without_margin


def cautions(seen: ProgrammeReplay) -> list[str]:
    """The standing caution, after what this very programme calls for."""
    problem, unit = seen.problem, seen.problem.unit
    lost = {one.load for one in seen.overstays}
    found = [text for text in (lost_caution(seen),) if text is not None]
    found += overstays(problem, seen.state, besides=lost)
    tight = {load: names for load, names in without_margin(seen).items() if load not in lost}
    if tight:
        dwells = [f"load {load} in {listed(names)}" for load, names in tight.items()][:8]
        more = f" and {len(tight) - 8} more" if len(tight) > 8 else ""
        found.append(
            f"No margin: {listed(dwells)}{more} for all of the maximum, to within a tick; "
            f"{'it' if len(tight) == 1 else 'each'} overstays if the hoist is late. A slack asked "
            "for in the problem file (margin = {slack = ...}) is kept below every maximum."
        )
    if seen.left and seen.programme.repeats is None:
        loads = [str(load) for load in sorted(seen.left)]
        found.append(
            f"In the line yet when the programme ends at {told(seen.finish)} {unit}: "
            f"{plural(len(loads), 'load')} {listed(loads)}; what follows must lift them in time."
        )
    found += _out_of_service(seen)
    found.append(
        "A programme holds from the very state it begins with: make sure that the line is in "
        "that state, and that people put carriers at the load station, and take them away, "
        "as it asks."
    )
    return [*found, *standing(len(problem.hoists) > 1)]


def _out_of_service(seen: ProgrammeReplay) -> list[str]:
    """What must be said of hoists that are out of service: nobody may move them meanwhile."""
    told_of = [
        f"{at.name} at {at.station or f'{told(at.position or 0)} {seen.problem.length_unit}'}"
        for at in seen.state.hoists
        if at.out_of_service
    ]
    if not told_of:
        return []
    return [
        f"Out of service: {listed(told_of)}. It holds only as long as no such hoist is moved: keep "
        "its drives isolated and locked, and see that it stands where the state says."
    ]


def lost_caution(seen: ProgrammeReplay) -> str | None:
    """What must be said wherever the moves are; None where no load stands too long."""
    if not seen.overstays:
        return None
    unit = seen.problem.unit
    by_load: dict[int, list[Overstay]] = {}
    for one in seen.overstays:
        by_load.setdefault(one.load, []).append(one)
    tick = tick_of(seen)
    named = [
        f"load {load} ({_where(stays, unit, tick)})" for load, stays in sorted(by_load.items())
    ]
    return (
        f"LOST, above the maximum dwell: {listed(named)}. Mark and check "
        f"{'it' if len(named) == 1 else 'them'}: only those who answer for the process can "
        "release such a load, or have it treated again."
    )


def _where(stays: Sequence[Overstay], unit: str, tick: Fraction) -> str:
    return listed([f"{one.label} by {as_decimal(one.by, tick, 'up'):f} {unit}" for one in stays])
