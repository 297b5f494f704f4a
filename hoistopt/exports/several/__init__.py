"""Sequencer tables and function blocks of several hoists, with release signals between them."""

from .table import HoistMotion, HoistTable, Release, SeveralTable, several_table

__all__ = [
    "HoistMotion",
    "HoistTable",
    "Release",
    "SeveralTable",
    "several_table",
]
