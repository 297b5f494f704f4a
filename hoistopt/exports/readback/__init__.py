"""Read exported files back, each by a reader of its own, not by the writer's code.

A file is handed over only once what stands in it has been read back and replayed by the
checker. `given.py` reads a table that a user hands over, `several_given.py` those of several
hoists: their moves are replayed, whoever wrote them.
"""

from .failed import ExportFailed
from .proof import prove

__all__ = ["ExportFailed", "prove"]
