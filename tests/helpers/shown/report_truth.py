"""Where hoist and carriers are at a time, worked out from the checker's record alone.

Written apart from the report: travel by the equations of motion from speed, acceleration
and distance, in floats; nothing of hoistopt.show.report is imported.
"""

from __future__ import annotations

from math import floor

from hoistopt.checker.record import CarrierStay, HoistRun, Replay
from hoistopt.problem import Motion, Problem

CLOSE = 1e-6


def covered(elapsed: float, distance: float, motion: Motion) -> float:
    """How far the hoist has come `elapsed` after it set off, over `distance` in all."""
    speed = float(motion.speed)
    if motion.acceleration is None:
        return min(distance, speed * elapsed)
    rate = float(motion.acceleration)
    top = min(speed, (distance * rate) ** 0.5)
    speeding_up = top / rate
    at_top = (distance - top * top / rate) / top
    if elapsed < speeding_up:
        return 0.5 * rate * elapsed * elapsed
    if elapsed < speeding_up + at_top:
        return top * top / (2 * rate) + top * (elapsed - speeding_up)
    braking = min(elapsed - speeding_up - at_top, speeding_up)
    return distance - 0.5 * rate * (speeding_up - braking) ** 2


class Truth:
    """What a player has to show of a replay."""

    def __init__(self, problem: Problem, replay: Replay) -> None:
        self.problem = problem
        self.replay = replay
        self.runs = sorted(replay.runs, key=lambda run: run.start)
        self.at = {s.name: float(s.position or 0) for s in problem.stations}

    def hoist(self, time: float) -> float:
        """Place of the hoist along the track."""
        before = [run for run in self.runs if run.start <= time]
        if before and time < before[-1].end:
            return self._loaded(before[-1], time)
        after = [run for run in self.runs if run.start > time]
        if not after:
            return self.at[before[-1].target]
        run = after[0]
        left = float(run.start - run.waited - run.empty)
        if run.came_from is None:
            return self.at[run.source]
        known = (run.came_from, run.source) in self.problem.empty_times
        motion = None if known else self.problem.hoist.empty
        way = (run.came_from, run.source)
        return self._between(*way, max(0.0, time - left), float(run.empty), motion)

    def _loaded(self, run: HoistRun, time: float) -> float:
        elapsed = time - float(run.start)
        if run.lift is None or run.travel is None:
            # A move from a table: drawn as a quarter up, half along, a quarter down.
            moving = float(run.end - run.start - run.drip)
            set_off, travel, motion = moving / 4 + float(run.drip), moving / 2, None
        else:
            set_off, travel = float(run.lift + run.drip), float(run.travel)
            motion = self.problem.hoist.loaded
        return self._between(run.source, run.target, max(0.0, elapsed - set_off), travel, motion)

    def _between(
        self, source: str, target: str, elapsed: float, whole: float, motion: Motion | None
    ) -> float:
        start, end = self.at[source], self.at[target]
        distance = abs(end - start)
        if not distance:
            return start
        if motion is None:
            way = distance * min(1.0, elapsed / whole)
        else:
            way = covered(elapsed, distance, motion)
        return start + (way if end > start else -way)

    def standing(self, time: float) -> dict[tuple[str, int], CarrierStay]:
        """The stays at a time, by station and carrier."""
        return {
            (stay.station, stay.carrier): stay
            for stay in self.replay.stays
            if float(stay.since) <= time < self._left(stay)
        }

    def _left(self, stay: CarrierStay) -> float:
        if stay.until is not None:
            return float(stay.until)
        stages = len(self.problem.recipe_by_name[stay.recipe].stages)
        by_hand = stay.stage > stages or stay.stage == 0
        return float(stay.since + stay.least) if by_hand else float("inf")

    def step(self, time: float) -> tuple[int | None, int | None]:
        """The step the hoist carries out, and the one it goes to next if it is empty."""
        for run in self.runs:
            if float(run.start) <= time < float(run.end):
                return run.step, None
        return None, next((run.step for run in self.runs if run.start > time), None)


def rounded_down(value: float, decimals: int) -> str:
    """A running time as it is shown: not more than it is."""
    return f"{floor(value * 10**decimals + 1e-3) / 10**decimals:.{decimals}f}"
