"""How the model of the function block begins with loads that stand in the line."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from tests.helpers.block.block_state import LIST, LONGEST, Key, Load, State


class Presetting(State):
    """It finds the place in the cycle at which what the preset says hurts least."""

    def _ask(self, given: Mapping[str, Any]) -> None:
        count = given["PresetLoads"]
        self.asked_at, self.calls_left = self.now, len(self.steps) + 1
        if not 1 <= count <= 40:
            return self._wrong(1, 0)
        self.preset = [
            tuple(given[f"Preset{name}"][n] for name in ("Station", "Recipe", "Stage", "Age_ms"))
            for n in range(1, count + 1)
        ]  # fmt: skip
        low, high = min(self.stations), max(self.stations)
        for entry, (station, _, _, age) in enumerate(self.preset, start=1):
            if not low <= station <= high:
                return self._wrong(2, entry)
            if not 0 <= age <= LONGEST:
                return self._wrong(4, entry)
            if not given["CarrierAt"][station]:
                return self._wrong(5, entry)
        tanks = {s.pick for s in self.steps if s.fed_by} - {
            s.pick for s in self.steps if not s.fed_by
        }
        listed = {station for station, *_ in self.preset}
        if any(given["CarrierAt"][tank] for tank in tanks - listed):
            return self._wrong(6, 0)
        self.shown["PresetEntry"] = 0
        return None

    def _wrong(self, fault: int, entry: int) -> None:
        self.fault = (fault, entry)
        self.shown |= {"PresetFault": fault, "PresetEntry": entry}

    def _preset_of_list(self) -> dict[str, Any]:
        """The list begins with the loads it lifts first, when none is lifted too soon."""
        assert self.preset is not None
        free = sorted(enumerate(self.preset), key=lambda one: (-one[1][3], one[0]))
        delay = 0
        for row, step in enumerate(self.steps[: self.once]):
            if step.fed_by != step.step:
                continue
            kind = (step.pick, step.recipe, step.stage)
            found = next((one for one in free if one[1][:3] == kind), None)
            if found is not None:
                free.remove(found)
                age = found[1][3]
                self.loads[LIST, row] = Load(self.asked_at - age)
                delay = max(delay, self.ms(step.least - step.start) - age)
        if free:
            self._wrong(3, min(entry for entry, _ in free) + 1)
            return self.shown
        self.origin = self.asked_at + delay
        self.preset = None
        self.shown |= {"PresetOk": True, "LoadsInLine": self.in_line, "Clock_ms": self.clock}
        return self.shown

    def _preset(self) -> dict[str, Any]:
        self.calls_left -= 1
        if self.calls_left > 1 and not self.once:
            return self.shown
        assert self.preset is not None
        if self.once:
            return self._preset_of_list()
        tries = [self._places(n) for n in range(len(self.steps))]
        possible = [n for n, found in enumerate(tries) if isinstance(found, dict)]
        if self.calls_left == 1:
            if not possible:
                failed = [found for found in tries if isinstance(found, tuple)]
                self._wrong(*max(failed, key=lambda found: found[1]))
            return self.shown
        best = min(possible, key=lambda n: self._harm(n, tries[n]))
        _, delay = self._harm(best, tries[best])
        places = tries[best]
        assert isinstance(places, dict)
        self.at, self.cycle = best, 0
        step = self.steps[best]
        self.origin = self.now - self.ms(step.start) + self.ms(step.approach)
        self.origin += max(0, delay - (self.now - self.asked_at))
        self.loads = {
            key: Load(self.asked_at - self.preset[n][3]) for key, n in places.items()
        }  # fmt: skip
        self.preset = None
        self.shown |= {"PresetOk": True, "LoadsInLine": self.in_line, "Clock_ms": self.clock}
        return self.shown

    def _places(self, first: int) -> dict[Key, int] | tuple[int, int]:
        """Which load is lifted when, if step `first` is the next one; or what is wrong."""
        assert self.preset is not None
        taken: dict[Key, int] = {}
        wrong: tuple[int, int] | None = None
        for number, (station, recipe, stage, age) in enumerate(self.preset):
            kind = (station, recipe, stage)
            rows = [
                n for n, s in enumerate(self.steps)
                if s.fed_by is not None and (s.pick, s.recipe, s.stage) == kind
            ]  # fmt: skip
            options = []
            for row in rows:
                step = self.steps[row]
                assert step.fed_by is not None
                for cycle in range(step.boundaries + 1):
                    set_down = (cycle - step.boundaries, step.fed_by - 1) < (0, first)
                    if set_down and (cycle, row) >= (0, first) and (cycle, row) not in taken:
                        options.append((*self._misfit(first, cycle, row, age), row, cycle))
            if options:
                _, _, row, cycle = min(options)
                taken[cycle, row] = number
            elif wrong is None:
                wrong = (3 if rows else 2, number + 1)
        return self._oldest_first(first, taken) if wrong is None else wrong

    def _oldest_first(self, first: int, taken: dict[Key, int]) -> dict[Key, int]:
        """The same places, the older load lifted sooner of two of a kind."""
        preset = self.preset
        assert preset is not None
        found: dict[Key, int] = {}
        for kind in {preset[n][:3] for n in taken.values()}:
            keys = [key for key, n in taken.items() if preset[n][:3] == kind]
            keys.sort(key=lambda key: self._misfit(first, key[0], key[1], 0)[1])
            loads = sorted((taken[key] for key in keys), key=lambda n: (-preset[n][3], n))
            found |= dict(zip(keys, loads, strict=True))
        return found

    def _misfit(self, first: int, cycle: int, row: int, age: int) -> tuple[int, int]:
        """By how much the dwell misses its window, and the time until it is lifted."""
        step, start = self.steps[row], self.steps[first]
        wait = cycle * self.period + self.ms(step.start - start.start + start.approach)
        most = age + wait if step.most is None else self.ms(step.most)
        return max(0, self.ms(step.least) - age - wait, age + wait - most), wait

    def _harm(self, first: int, places: Any) -> tuple[int, int]:
        """By how much loads exceed their maxima if none is lifted before its minimum, and how
        much later the cycle begins so that none is."""
        assert self.preset is not None
        lifted = []
        for (cycle, row), n in places.items():
            _, wait = self._misfit(first, cycle, row, 0)
            lifted.append((self.steps[row], wait + self.preset[n][3]))
        delay = max(0, *(self.ms(step.least) - dwell for step, dwell in lifted))
        over = (dwell + delay - self.ms(s.most) for s, dwell in lifted if s.most is not None)
        return sum(max(0, ms) for ms in over), delay
