"""The quick selection, for work in progress, leaves no room out."""

from __future__ import annotations

from pathlib import Path

import pytest

pytestmark = pytest.mark.quick

TESTS = Path(__file__).parents[1]
ROOMS = sorted({path.parent for path in TESTS.glob("*/test_*.py")})
NEEDS_MORE = {"browser"}
"""Rooms whose tests need more than Python."""


def test_there_are_rooms() -> None:
    assert {"agreement", "checker", "solver"} <= {room.name for room in ROOMS}


@pytest.mark.parametrize("room", ROOMS, ids=lambda room: room.name)
def test_every_room_has_quick_tests(room: Path) -> None:
    marked = [p for p in room.rglob("test_*.py") if "mark.quick" in p.read_text(encoding="utf-8")]
    assert bool(marked) != (room.name in NEEDS_MORE)
