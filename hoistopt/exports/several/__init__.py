"""Sequencer tables and function blocks of several hoists, with release signals between them.

`ordered.py` says which motions go before which others, `releases.py` which of these a signal has
to say.
"""

from .motion_table import HoistMotion, HoistTable, Release, SeveralTable
from .table import several_table

__all__ = [
    "HoistMotion",
    "HoistTable",
    "Release",
    "SeveralTable",
    "several_table",
]
