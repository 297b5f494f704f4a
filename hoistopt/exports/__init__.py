"""From a schedule to the sequencer of a machine: tables in whole numbers, proved.

A planning aid, not a safety function: interlocks, guarding and dwell watchdogs stay in
the machine.
"""

from .checksum import check_sum
from .export import FORMATS, SequencerStyle, export_text, format_of, write_sequencer
from .once import programme_table
from .readback import ExportFailed
from .table import SequencerStep, SequencerTable, sequencer_table

__all__ = [
    "FORMATS",
    "ExportFailed",
    "SequencerStep",
    "SequencerStyle",
    "SequencerTable",
    "check_sum",
    "export_text",
    "format_of",
    "programme_table",
    "sequencer_table",
    "write_sequencer",
]
