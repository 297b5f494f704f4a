"""Read exported files back, each by a reader of its own, not by the writer's code.

A file is handed over only once what stands in it has been read back and replayed by the checker.

- `proof.py`: the proof of an export, and what is raised where it fails; `once.py`: the proof of a
  list run once.
- A reader a format: `csv_back.py`, `json_back.py`, `st_back.py`, `plcopen_back.py`; `members.py`:
  from named values to a table.
- Several hoists: `several.py` reads CSV and JSON, `several_programs.py` the rest;
  `several_proof.py`, `several_once.py`: the proof; `several_waits.py`: whether the signals keep
  hoists apart.
- `given.py`, `several_given.py`: tables that a user hands over, of one hoist and of several.
"""

from .proof import ExportFailed, prove

__all__ = ["ExportFailed", "prove"]
