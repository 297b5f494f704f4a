"""Judge the lateness of many runs: dwells out of window, achieved cycle times."""

from __future__ import annotations

from fractions import Fraction
from math import sqrt
from statistics import NormalDist
from typing import TYPE_CHECKING

from ...base.errors import InputError
from ...base.numbers.shares import LEAST_GROUPS, LEVEL, Share, share_of
from ...graph.timed_plan import Dwell, TimedPlan
from ...problem.scatter import Scatter
from .answer import Jitter, LateStep, StageJitter
from .replaying import Lateness, grain_of

if TYPE_CHECKING:
    import numpy as np


def judged(
    plan: TimedPlan,
    scatters: tuple[Scatter, ...],
    late: Lateness,
    warm_up: int,
    seed: int,
    *,
    complete: bool,
) -> Jitter:
    """Count what is out of window, and measure the cycles."""
    import numpy as np

    cycles, _, runs = late.starts.shape
    grain = grain_of(plan)
    longer = [longer_than_planned(dwell, late, warm_up) for dwell in plan.dwells]
    out = [too_long(s, change, grain) for s, change in zip(plan.dwells, longer, strict=True)]
    starts = late.starts[warm_up:]
    first = starts[:, paced_by(plan, starts)].astype(float) * float(grain / plan.per_unit)
    planned = Fraction(plan.cycle, plan.per_unit)
    means = float(planned) + (first[-1] - first[0]) / (len(first) - 1)
    half = None
    if runs >= LEAST_GROUPS:
        half = NormalDist().inv_cdf((1 + LEVEL) / 2) * float(means.std(ddof=1)) / sqrt(runs)
    mean = float(means.mean())
    return Jitter(
        problem=plan.problem,
        scatters=scatters,
        runs=runs,
        cycles=cycles - warm_up,
        warm_up=warm_up,
        seed=seed,
        stages=_by_stage(plan, longer, out, cycles - warm_up),
        any_stage=any_stage(plan, out, runs),
        planned=planned,
        cycle_time=mean,
        cycle_low=None if half is None else mean - half,
        cycle_high=None if half is None else mean + half,
        cycle_times=(float(planned) + np.diff(first, axis=0)).ravel(),
        late_at_end=float(first[-1].mean()),
        latest=_latest(plan, late.starts[warm_up:], float(grain / plan.per_unit)),
        complete=complete,
    )


def paced_by(plan: TimedPlan, starts: np.ndarray) -> int:
    """The step whose starts tell the pace, counted from 0: the first, as one hoist makes all.

    Of several hoists one may fall behind for hundreds of cycles before others wait for it: then
    the step that falls behind most.

    Parameters
    ----------
    starts : ndarray, shape (cycles, steps, runs)
        How late they are.
    """
    if len(plan.problem.hoists) == 1:
        return 0
    return int((starts[-1] - starts[0]).mean(axis=1).argmax())


def _latest(plan: TimedPlan, starts: np.ndarray, scale: float) -> LateStep:
    """The step with the greatest mean lateness; of several the first."""
    means = starts.mean(axis=(0, 2)) * scale
    worst = int(means.argmax())
    step = plan.steps[worst]
    most = float(starts[:, worst].max()) * scale
    return LateStep(worst + 1, step.source, step.target, float(means[worst]), most)


def longer_than_planned(dwell: Dwell, late: Lateness, warm_up: int) -> np.ndarray:
    """By how much each dwell is longer than planned, for loads brought after the warm-up."""
    lifted = late.starts[warm_up + dwell.height :, dwell.departure]
    brought = late.ends[warm_up : len(late.ends) - dwell.height, dwell.arrival]
    return lifted - brought[: len(lifted)]


def too_long(dwell: Dwell, longer: np.ndarray, grain: Fraction) -> np.ndarray:
    import numpy as np

    if dwell.room is None:
        return np.zeros(longer.shape, dtype=bool)
    # A whole number is above the exact room when it is above that rounded down.
    return longer > int(dwell.room // grain)


def _by_stage(
    plan: TimedPlan, longer: list[np.ndarray], out: list[np.ndarray], counted: int
) -> tuple[StageJitter, ...]:
    import numpy as np

    unit = plan.per_unit
    scale = float(grain_of(plan) / unit)
    together: dict[tuple[str, int], list[int]] = {}
    for number, dwell in enumerate(plan.dwells):
        together.setdefault((dwell.recipe, dwell.stage), []).append(number)
    order = [recipe.name for recipe in plan.problem.recipes]
    rows = []
    for key in sorted(together, key=lambda key: (order.index(key[0]), key[1])):
        alike = [plan.dwells[number] for number in together[key]]
        cycles = min(len(out[number]) for number in together[key])
        if not cycles:
            raise InputError(
                "enough cycles for a load to pass every stage",
                field="cycles",
                value=counted,
                way_out="Ask for more cycles.",
            )
        dwells = np.concatenate(
            [
                (longer[n][:cycles] * scale + s.planned / unit).ravel()
                for n, s in zip(together[key], alike, strict=True)
            ]
        )
        shares = _interleaved([out[number][:cycles] for number in together[key]])
        rows.append(
            StageJitter(
                recipe=key[0],
                stage=key[1],
                label=alike[0].label,
                stations=tuple(dict.fromkeys(dwell.station for dwell in alike)),
                least=Fraction(alike[0].least, unit),
                most=None if alike[0].most is None else Fraction(alike[0].most, unit),
                share=share_of(shares),
                longest=float(dwells.max()),
                dwells=dwells,
            )
        )
    return tuple(rows)


def any_stage(plan: TimedPlan, out: list[np.ndarray], runs: int) -> Share:
    """Loads that stood too long anywhere, followed from stage to stage."""
    import numpy as np

    ways: dict[int, list[int]] = {}
    for number, dwell in sorted(enumerate(plan.dwells), key=lambda pair: pair[1].stage):
        ways.setdefault(dwell.load, []).append(number)
    wrong = []
    for way in ways.values():
        # Row n of a stay is of the load that came there n cycles after the warm-up.
        entered = np.cumsum([0, *(plan.dwells[number].height for number in way)])
        loads = max(0, min(len(out[n]) - at for n, at in zip(way, entered[:-1], strict=True)))
        flags = np.zeros((loads, runs), dtype=bool)
        for number, at in zip(way, entered[:-1], strict=True):
            flags |= out[number][at : at + loads]
        wrong.append(flags)
    loads = min(len(flags) for flags in wrong)
    return share_of(_interleaved([flags[:loads] for flags in wrong]))


def _interleaved(loads: list[np.ndarray]) -> np.ndarray:
    """The loads of a cycle one after the other, then those of the next; a column a run."""
    import numpy as np

    return np.stack(loads, axis=1).reshape(-1, loads[0].shape[1])
