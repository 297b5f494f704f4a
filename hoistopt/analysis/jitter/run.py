"""A schedule under scattered times of the hoist: loads out of window, achieved cycle time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import sqrt
from statistics import NormalDist
from typing import TYPE_CHECKING

from ...base.clock import Clock, OutOfTime
from ...base.effort import Effort, effort_of
from ...base.errors import InputError, StoppedError
from ...checker import Replay, accepted
from ...graph.from_replay import Dwell, TimedPlan, timed_plan
from ...problem import Problem
from ...schedule import Schedule
from .replaying import Lateness, draw_changes, follow, grain_of
from .scatter import Scatter, scatter_list
from .shares import LEAST_GROUPS, LEVEL, Share, share_of

if TYPE_CHECKING:
    import numpy as np

MOST_MOVES = 5_000_000
MOST_CYCLES = 1_000_000


@dataclass(frozen=True, eq=False)
class StageJitter:
    """How one stage of a recipe fares; times in the problem's unit.

    Attributes
    ----------
    recipe, stage, label, stations
        Which stage, and where its loads stand.
    least, most : Fraction, Fraction or None
        Its window. No load stands less than the least: the hoist waits.
    share : Share
        Loads that stand longer than `most`.
    longest : float
        The longest dwell seen.
    dwells : ndarray
        Every dwell counted.
    """

    recipe: str
    stage: int
    label: str
    stations: tuple[str, ...]
    least: Fraction
    most: Fraction | None
    share: Share
    longest: float
    dwells: np.ndarray

    @property
    def mean(self) -> float:
        """Mean dwell."""
        return float(self.dwells.mean())

    @property
    def over(self) -> float:
        """By how much the longest dwell is over the maximum; 0 where it is not."""
        return 0.0 if self.most is None else max(0.0, self.longest - float(self.most))


@dataclass(frozen=True)
class LateStep:
    """How late one step starts: its number, from 1; mean and greatest lateness in the unit."""

    step: int
    source: str
    target: str
    mean: float
    most: float


@dataclass(frozen=True, eq=False)
class Jitter:
    """What many runs with scattered times came to; times in the problem's unit.

    Attributes
    ----------
    scatters : tuple of Scatter
    runs, cycles, warm_up, seed : int
        What was run; the first `warm_up` cycles of each run are not counted.
    stages : tuple of StageJitter
        In order of recipe and stage.
    any_stage : Share
        Loads that stood too long in some stage.
    planned : Fraction
        Planned cycle time.
    cycle_time : float
        Mean achieved cycle time.
    cycle_low, cycle_high : float or None
        Interval that holds its true mean at the usual level; None with few runs.
    cycle_times : ndarray
        Every cycle counted: from one start of the first step to its next.
    late_at_end : float
        Mean lateness of the first step in the last cycle.
    latest : LateStep
        The step that is late by most on average, over all cycles counted.
    complete : bool
        False when a stop or the time limit left fewer cycles than asked for.
    """

    problem: Problem
    scatters: tuple[Scatter, ...]
    runs: int
    cycles: int
    warm_up: int
    seed: int
    stages: tuple[StageJitter, ...]
    any_stage: Share
    planned: Fraction
    cycle_time: float
    cycle_low: float | None
    cycle_high: float | None
    cycle_times: np.ndarray
    late_at_end: float
    latest: LateStep
    complete: bool = True

    @property
    def level(self) -> float:
        """Confidence level of every interval."""
        return LEVEL


def jitter(
    problem: Problem,
    schedule: Schedule,
    scatters: Sequence[Scatter | str],
    runs: int = 100,
    cycles: int = 100,
    warm_up: int = 10,
    seed: int = 0,
    seen: Replay | None = None,
    *,
    effort: Effort | None = None,
) -> Jitter:
    """Run a schedule many times with times of the hoist that scatter.

    The sequencer keeps the order of the moves, waits for minimum dwell and starts a
    move when due: not before its planned time, the hoist there, the carrier ready, and
    at the ends of the line a carrier or a place ready. So loads never stand too short;
    some stand too long.

    Parameters
    ----------
    problem : Problem
        The line.
    schedule : Schedule
        Moves that break no rule.
    scatters : sequence of Scatter or str
        What scatters, such as ``"move times triangular 0.97 1 1.15"``; draws are
        independent of one another. None: everything runs on plan.
    runs, cycles, warm_up : int
        Runs, each of which begins on plan; cycles counted in each, after cycles that
        are not.
    seed : int
        Same seed, same answer, with the same version of numpy.
    seen : Replay, optional
        A replay of the schedule on the line, if there is one already.
    effort : Effort, optional
        Brings the seed, instead of it, and what ends the runs: they then have fewer
        cycles, all the same number.

    Raises
    ------
    Refused
        When the schedule breaks a rule.
    InputError
        When a figure makes no sense.
    StoppedError
        When a stop or the time limit came before enough cycles were run to tell anything.

    Examples
    --------
    >>> import hoistopt
    >>> problem = hoistopt.load_problem("problems/three_tanks_dryer.toml")
    >>> result = hoistopt.solve(problem)
    >>> late = ["move times triangular 0.97 1 1.15"]
    >>> scattered = hoistopt.jitter(problem, result.schedule, late, runs=9, cycles=11)
    >>> scattered.cycle_times.size  # a cycle time is from one first step to the next
    90
    """
    _check_sizes(runs, cycles, warm_up, seed)
    clock = Clock(effort_of(effort, seed=seed))
    seed = clock.seed
    stated = scatter_list(scatters)
    plan = timed_plan(accepted(problem, schedule, seen))
    if (moves := (warm_up + cycles) * runs * len(plan)) > MOST_MOVES:
        raise InputError(
            f"at most {MOST_MOVES} moves in all",
            field="runs times cycles",
            value=f"{moves} moves",
            way_out="Ask for fewer runs or cycles.",
        )
    try:
        changes = draw_changes(plan, stated, warm_up + cycles, runs, seed, clock)
    except OutOfTime:
        raise StoppedError(_TOO_EARLY) from None
    late = follow(plan, *changes, clock)
    complete = len(late.starts) == warm_up + cycles
    if not complete and len(late.starts) < warm_up + 2 + _longest_way(plan):
        raise StoppedError(_TOO_EARLY)
    return _judged(plan, stated, late, warm_up, seed, complete=complete)


_TOO_EARLY = "stopped before enough cycles were run to tell anything"


def _longest_way(plan: TimedPlan) -> int:
    """Cycles that a load may take for its whole way, and one more."""
    cycles: dict[int, int] = {}
    for dwell in plan.dwells:
        cycles[dwell.load] = cycles.get(dwell.load, 0) + dwell.height
    return 1 + max(cycles.values(), default=0)


def _check_sizes(runs: int, cycles: int, warm_up: int, seed: int) -> None:
    for field, value, least, most in (
        ("runs", runs, 1, MOST_CYCLES),
        ("cycles", cycles, 2, MOST_CYCLES),
        ("warm_up", warm_up, 0, MOST_CYCLES),
        ("seed", seed, 0, 2**31 - 1),
    ):
        if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
            raise InputError(f"a whole number from {least} to {most}", field=field, value=value)


def _judged(
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
    longer = [_longer(dwell, late, warm_up) for dwell in plan.dwells]
    out = [_too_long(s, change, grain) for s, change in zip(plan.dwells, longer, strict=True)]
    first = late.starts[warm_up:, 0].astype(float) * float(grain / plan.per_unit)
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
        any_stage=_any_stage(plan, out, runs),
        planned=planned,
        cycle_time=mean,
        cycle_low=None if half is None else mean - half,
        cycle_high=None if half is None else mean + half,
        cycle_times=(float(planned) + np.diff(first, axis=0)).ravel(),
        late_at_end=float(first[-1].mean()),
        latest=_latest(plan, late.starts[warm_up:], float(grain / plan.per_unit)),
        complete=complete,
    )


def _latest(plan: TimedPlan, starts: np.ndarray, scale: float) -> LateStep:
    """The step with the greatest mean lateness; of several the first."""
    means = starts.mean(axis=(0, 2)) * scale
    worst = int(means.argmax())
    step = plan.steps[worst]
    most = float(starts[:, worst].max()) * scale
    return LateStep(worst + 1, step.source, step.target, float(means[worst]), most)


def _longer(dwell: Dwell, late: Lateness, warm_up: int) -> np.ndarray:
    """By how much each dwell is longer than planned, for loads brought after the warm-up."""
    lifted = late.starts[warm_up + dwell.height :, dwell.departure]
    brought = late.ends[warm_up : len(late.ends) - dwell.height, dwell.arrival]
    return lifted - brought[: len(lifted)]


def _too_long(dwell: Dwell, longer: np.ndarray, grain: Fraction) -> np.ndarray:
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


def _any_stage(plan: TimedPlan, out: list[np.ndarray], runs: int) -> Share:
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
