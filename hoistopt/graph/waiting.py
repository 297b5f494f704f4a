"""What holds a move back, in a few words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from .waits import Wait

if TYPE_CHECKING:
    from .course import Course


def reason(course: Course, wait: Wait) -> str:
    """Why a step waits: "hoist for step 5", "minimum in Rinse 1", ..."""
    after = course.steps[wait.after]
    if wait.why == "hoist":
        return f"hoist for step {wait.after + 1}"
    if wait.why == "minimum":
        stand = next((s for s in course.stands if s.departure == wait.after), None)
        return f"minimum in {after.source if stand is None else stand.label}"
    if wait.why == "station":
        return f"minimum in {after.target if course.stages[wait.after] else after.source}"
    return f"carrier for step {wait.after + 1}"
