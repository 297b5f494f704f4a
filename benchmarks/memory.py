"""The most memory a process has held."""

from __future__ import annotations

import sys
import threading
from pathlib import Path

EVERY = 0.02
"""Seconds between looks; what a process takes in its last moments may be missed."""


class Memory:
    """Follows a process until told to stop.

    The kernel keeps the peak itself, but hands down to a new process that of the one which
    started it; asking for the peak of the running program does not.
    """

    def __init__(self, pid: int) -> None:
        self._status = Path(f"/proc/{pid}/status")
        self._peak = 0.0
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._follow, daemon=True)
        self._thread.start()

    def stop(self) -> float:
        """The peak in MiB; 0 where the system does not tell."""
        self._stop.set()
        self._thread.join()
        return self._peak

    def _follow(self) -> None:
        if not sys.platform.startswith("linux"):
            return
        while True:
            try:
                lines = self._status.read_text(encoding="utf-8").splitlines()
            except OSError:
                return
            held = [line.split()[1] for line in lines if line.startswith("VmHWM:")]
            if held:
                self._peak = max(self._peak, int(held[0]) / 1024)
            if self._stop.wait(EVERY):
                return
