"""How a hoist travels, in floating point: a way from a position and speed to rest."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt


@dataclass
class Trip:
    """A way from a position and speed at a time towards a place, to come to rest there."""

    since: float
    here: float
    there: float
    speed: float
    """Speed at the beginning, in the direction of the way."""
    top: float
    gain: float | None

    def __post_init__(self) -> None:
        way = abs(self.there - self.here)
        if self.gain is None:
            self.times = (0.0, way / self.top, 0.0)
            self.peak = self.top
            return
        a, v = self.gain, self.speed
        # The speed reached if there is no time at top speed.
        self.peak = min(self.top, sqrt(max(a * way + v * v / 2, 0)))
        self.peak = max(self.peak, v)
        up, down = (self.peak - v) / a, self.peak / a
        even = way - (self.peak + v) / 2 * up - self.peak / 2 * down
        self.times = (up, max(0.0, even / self.peak) if self.peak else 0.0, down)

    @property
    def until(self) -> float:
        return self.since + 1000 * sum(self.times)

    @property
    def brakes(self) -> float:
        return self.since + 1000 * (self.times[0] + self.times[1])

    def at(self, now: float) -> tuple[float, float]:
        """Position and speed, the latter in the direction of the way."""
        t = (now - self.since) / 1000
        sign = 1 if self.there >= self.here else -1
        up, even, down = self.times
        if t >= up + even + down:
            return self.there, 0.0
        if self.gain is None:
            return self.here + sign * self.top * t, self.top
        a = self.gain
        if t < up:
            return self.here + sign * (self.speed * t + a * t * t / 2), self.speed + a * t
        risen = (self.speed + self.peak) / 2 * up
        if t < up + even:
            return self.here + sign * (risen + self.peak * (t - up)), self.peak
        left = up + even + down - t
        return self.there - sign * a * left * left / 2, a * left
