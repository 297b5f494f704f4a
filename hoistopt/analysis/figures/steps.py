"""The step table: what the hoist does in one cycle, in order."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from ...base.numbers.decimals import as_decimal
from ...checker.record import HoistRun, Replay
from ...problem import Problem
from ...schedule import Schedule


@dataclass(frozen=True)
class StepRow:
    """One loaded move of the steady cycle and what the hoist did before it.

    All times are in the problem's unit. `stage` is the stage the load leaves, with
    `label` its name; `boundaries` counts the cycle restarts between the start of the
    move that brought the carrier and this one (None where nothing did). The hoist came
    from `came_from` in `empty` and waited `wait` before it lifted; `loaded` runs from
    there to the end of lowering, `drip` included. `dwell` is what the carrier had stood
    at `source`. `hoist` is the name of the hoist, where there are several.
    """

    step: int
    start: Decimal
    source: str
    target: str
    recipe: str
    load: int
    stage: int
    label: str
    boundaries: int | None
    came_from: str | None
    empty: Decimal
    wait: Decimal
    loaded: Decimal
    drip: Decimal
    dwell: Decimal | None
    hoist: str | None = None


def tick_of(schedule: Schedule) -> Fraction:
    """Length of a tick in the problem's unit."""
    return 1 / schedule.ticks_per_unit


def first_steady(replay: Replay) -> Fraction:
    """When the first steady cycle of a replay begins."""
    return replay.steady_from * replay.cycle_time


def after_steady(replay: Replay) -> Fraction:
    """When the last steady cycle of a replay ends."""
    return (replay.steady_from + replay.steady_cycles) * replay.cycle_time


def steady_runs(replay: Replay) -> list[HoistRun]:
    """The hoist's moves that start in the steady cycles, in order of time."""
    since, until = first_steady(replay), after_steady(replay)
    runs = [run for run in replay.runs if since <= run.start < until]
    return sorted(runs, key=lambda run: run.start)


def step_rows(problem: Problem, schedule: Schedule, replay: Replay) -> list[StepRow]:
    """The moves of the first steady cycle as the checker replayed them.

    Parameters
    ----------
    problem : Problem
        The line.
    schedule : Schedule
        Gives the grid for times that have no short decimal.
    replay : Replay
        The checker's record of that schedule.
    """
    tick, since = tick_of(schedule), first_steady(replay)
    dwells = {(stay.carrier, stay.until): stay.dwell for stay in replay.stays}
    seen = _boundaries_seen(replay)
    rows = []
    for run in steady_runs(replay):
        if run.start >= since + replay.cycle_time:
            break
        dwell = dwells.get((run.carrier, run.start))
        stated = schedule.steps[run.step - 1].boundaries
        rows.append(
            StepRow(
                step=run.step,
                start=as_decimal(run.start - since, tick),
                source=run.source,
                target=run.target,
                recipe=run.recipe,
                load=run.load,
                stage=run.stage,
                label=stage_label(problem, run),
                boundaries=seen.get(run) if stated is None else stated,
                came_from=run.came_from,
                empty=as_decimal(run.empty, tick),
                wait=as_decimal(run.waited, tick, "down"),
                loaded=as_decimal(run.end - run.start, tick),
                drip=as_decimal(run.drip, tick),
                dwell=None if dwell is None else as_decimal(dwell, tick),
                hoist=run.hoist,
            )
        )
    return rows


def stage_label(problem: Problem, run: HoistRun) -> str:
    """What the load leaves: the stage's name, or the station at the ends of the line."""
    stages = problem.recipe_by_name[run.recipe].stages
    return stages[run.stage - 1].label if 1 <= run.stage <= len(stages) else run.source


def _boundaries_seen(replay: Replay) -> dict[HoistRun, int]:
    """For each move, the cycle restarts since the move that brought the carrier."""
    seen: dict[HoistRun, int] = {}
    last: dict[int, HoistRun] = {}
    for run in sorted(replay.runs, key=lambda run: run.start):
        before = last.get(run.carrier)
        if before is not None and run.stage == before.stage + 1:
            cycle = replay.cycle_time
            seen[run] = int(run.start // cycle - before.start // cycle)
        last[run.carrier] = run
    return seen
