"""The bench's runs in this process, where a test asks about what comes of them only."""

from __future__ import annotations

import json
import runpy
import sys
import tempfile
import warnings
from collections.abc import Sequence
from pathlib import Path
from typing import Any
from unittest.mock import patch


def answer_here(module: str, arguments: Sequence[str], seconds: float) -> dict[str, Any]:
    """As `benchmarks.apart.answer_of` says it, without a process that imports everything again."""
    with tempfile.TemporaryDirectory() as folder, warnings.catch_warnings():
        warnings.simplefilter("ignore", RuntimeWarning)  # that the module has been imported before
        answer = Path(folder) / "answer.json"
        with patch.object(sys, "argv", [module, *arguments, str(answer)]):
            runpy.run_module(module, run_name="__main__")
        found: dict[str, Any] = json.loads(answer.read_text(encoding="utf-8"))
        return found
