"""Sequencer tables and function blocks of several hoists, with release signals between them."""

from .motion_table import HoistMotion, HoistTable, Release, SeveralTable
from .table import several_table

__all__ = [
    "HoistMotion",
    "HoistTable",
    "Release",
    "SeveralTable",
    "several_table",
]
