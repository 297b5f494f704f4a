"""What a CSV file says below its cautions."""

from __future__ import annotations

import csv
import io

from hoistopt.analysis.figures.cautions import STANDING


def csv_split(text: str) -> tuple[list[str], list[str]]:
    """The notes above the header, and the lines from the header on."""
    lines = text.splitlines()
    notes = [line for line in lines if line.startswith('"#')]
    assert lines[: len(notes)] == notes
    return notes, lines[len(notes) :]


def csv_table(text: str) -> list[dict[str, str]]:
    """The rows of a file that states the standing caution in full above its header."""
    notes, lines = csv_split(text)
    assert any(STANDING in note for note in notes)
    return list(csv.DictReader(io.StringIO("\n".join(lines))))
