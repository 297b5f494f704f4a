"""From a schedule to the sequencer of a machine: tables in whole numbers, proved.

A planning aid, not a safety function: interlocks, guarding and dwell watchdogs stay in the machine.

- `table.py`: the table of a cycle, with limits from `lateness.py`. `rounding.py`, `strict.py`,
  `figures.py`: a schedule, the line and times in the controller's unit (`units.py`), rounded to the
  safe side. `once.py`, `joining.py`, `once_rounding.py`: a list run once, the cycle after it, and
  both in the unit.
- `export.py`: a file, of one hoist or several, read back and replayed. `formats/`: how it
  is written. `names.py`: names in it. `members.py`: the members of the table in programs, and
  `checksum.py`, their sum.
- `block/`: the function block as data. `several/`: a table and a block for each of several hoists.
- `readback/`: readers that share no code with the writers.

How controllers differ, in general words (common practice, no source), and what is done about it:

- Structured initial values: some take none, or none for a structure within an array. With values as
  a routine assignments are written instead. By the standard, elements that are not given have their
  type's default.
- `VAR_IN_OUT` of a structure is passed by reference in most; where it is not allowed, make the
  table an input: the block only reads it.
- Bounds of arrays are literals here, as many take no constants there. `room` says for how many
  steps; memory grows with it. Few check an index at run time: the block checks its table itself.
- `TIME` is 32 bits of ms in some, 64 bits or other units in others, signed or not, and `LTIME` is
  not everywhere. The block uses none of them: every time is whole ms in `DINT`, and no sum exceeds
  32 bits. It is handed the ms since the last call, from whatever timer there is.
- `AND` and `OR` may or may not stop at the first operand that decides: nothing here depends on it.
- What survives a power failure (`RETAIN`) is declared differently everywhere. Nothing here is
  retained: after a failure the preset says what stands where, and for how long.
- Lengths of identifiers, of comments and of a function block have limits of the maker's.
"""

from .checksum import check_sum
from .export import FORMATS, export_text, format_of, several_text, write_sequencer
from .formats.st_types import SequencerStyle
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
    "several_text",
    "write_sequencer",
]
