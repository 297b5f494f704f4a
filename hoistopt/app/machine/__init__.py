"""What goes to the machine, and what comes back from it.

`sequencer.py`: the table or the blocks of a controller. `sheet.py`: a sheet for people at the
machine, and what it says (`sheet_table.py`). `fit.py`, `log.py`, `adherence.py`: the hoist's times,
the stays and the plan, from what was measured.
"""
