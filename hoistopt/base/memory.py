"""How much memory there is to work with."""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from pathlib import Path

UNKNOWN = 8 * 10**9
"""Bytes assumed where the system does not say."""

_CONTAINER = Path("/sys/fs/cgroup/memory.max")


def memory() -> int:
    """Bytes that this process may use at most: of the machine, its container, its limits."""
    known = []
    with suppress(AttributeError, OSError, ValueError):
        known.append(os.sysconf("SC_PHYS_PAGES") * os.sysconf("SC_PAGE_SIZE"))
    with suppress(OSError, ValueError):
        known.append(int(_CONTAINER.read_text(encoding="ascii")))
    if sys.platform != "win32":
        import resource

        limit = resource.getrlimit(resource.RLIMIT_AS)[0]
        if limit != resource.RLIM_INFINITY:
            known.append(limit)
    return min((size for size in known if size > 0), default=UNKNOWN)
