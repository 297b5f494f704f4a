"""Exit codes of the `hoistopt` command."""

from __future__ import annotations

DONE = 0
NO = 1
"""The answer is no: there is no schedule, or there are violations."""
BAD_INPUT = 2
STOPPED = 3
"""Stopped before there was an answer: no schedule found yet, or points of a study unsolved."""
INTERNAL = 4
"""A fault in hoistopt itself."""
