"""Exit codes of the `hoistopt` command."""

from __future__ import annotations

DONE = 0
NO = 1
"""The answer is no: there is no schedule, or there are violations."""
BAD_INPUT = 2
STOPPED = 3
"""Stopped before any schedule was found, or before all points of a study were solved."""
INTERNAL = 4
"""A fault in hoistopt itself."""
INTERRUPTED = 130
"""Ctrl-C where nothing was being searched for."""
