"""Read exported files back, each by a reader of its own, not by the writer's code.

A file is handed over only once what stands in it has been read back and replayed by the checker.

- `proof.py`: the proof of an export; `once.py`: of a list run once; `failed.py`: what is raised.
- A reader a format: `csv_back.py`, `json_back.py`, `st_back.py`, `plcopen_back.py`; `members.py`:
  from named values to a table.
- Several hoists: `several.py` reads CSV and JSON, `several_programs.py` the rest;
  `several_proof.py`, `several_once.py`: the proof; `several_waits.py`: whether the signals keep
  hoists apart.
- `given.py`, `several_given.py`: tables that a user hands over, of one hoist and of several.
"""

from .failed import ExportFailed
from .proof import prove

__all__ = ["ExportFailed", "prove"]
