"""Programmes of several hoists as tables: a list of motions a hoist, run once.

`motions.py` what each hoist does and what must be before what, `waits.py` all that is waited
for, `limits.py` how late a motion may be, `whole.py` times in whole units, `table.py` the tables.
"""

from .table import several_programme_table

__all__ = ["several_programme_table"]
