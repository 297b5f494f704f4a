"""One step waiting for another."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal


@dataclass(frozen=True, slots=True)
class Wait:
    """Step `after` waits for step `before` of `cycles` cycles earlier.

    `slack` is what is to spare as planned, in grid time: step `before` may be that late
    without delaying step `after`. It waits for the carrier to be set down, or, without
    `on_end`, for the start of lifting. `why`: the hoist comes from there, the carrier
    has to stand its minimum, the place at an end of the line has to be free (or the next
    carrier ready) again, or the carrier has to come back.
    """

    before: int
    after: int
    cycles: int
    slack: int
    why: Literal["hoist", "minimum", "station", "return"]
    on_end: bool = True

    def checked(self, tolerance: int) -> Wait:
        """The same, a slack below 0 only by what a cut-off square root is wrong set to 0."""
        if self.slack >= 0:
            return self
        if self.slack < -tolerance:
            raise AssertionError(f"a schedule the checker accepts breaks {self}")
        return replace(self, slack=0)
