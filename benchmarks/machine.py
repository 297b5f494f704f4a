"""What a measurement was made on and with."""

from __future__ import annotations

import os
import platform
from functools import cache
from pathlib import Path

from .methods import Method


@cache
def machine() -> str:
    """Processor, cores that may be used, system; ratios hold on one machine only."""
    return f"{_processor()}, {cores()} cores, {platform.system()} {platform.machine()}"


def cores() -> int:
    """Cores this process may use."""
    affinity = getattr(os, "sched_getaffinity", None)
    return len(affinity(0)) if affinity else os.cpu_count() or 1


def memory() -> str:
    """Memory of the machine."""
    try:
        size = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES")
    except (AttributeError, ValueError, OSError):
        return "unknown"
    return f"{size / 2**30:.0f} GiB"


def _processor() -> str:
    try:
        lines = Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines()
    except OSError:
        lines = []
    names = [line.split(":", 1)[1].strip() for line in lines if line.startswith("model name")]
    return names[0] if names else platform.processor() or "unknown processor"


def versions_of(method: Method) -> str:
    """Versions a method's answers depend on."""
    return f"python-{platform.python_version()} {method.versions()}"
