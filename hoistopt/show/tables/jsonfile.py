"""JSON as every answer writes it, and the versions of what made it."""

from __future__ import annotations

import json
import platform
from importlib.metadata import PackageNotFoundError, version


def versions() -> dict[str, str]:
    """Versions of what made a result."""
    found = {"python": platform.python_version()}
    for name in ("hoistopt", "ortools"):
        try:
            found[name] = version(name)
        except PackageNotFoundError:  # run from a checkout that was never installed
            found[name] = "not installed"
    return found


def json_text(data: object) -> str:
    """JSON with a line end; non-ASCII names stay readable."""
    return json.dumps(data, indent=2, ensure_ascii=False, allow_nan=False) + "\n"
