"""The formats of a sequencer's table, a file each, and what is written in several of them.

`csv_format.py`, `json_format.py`, `st_format.py`, `plcopen_format.py` (`plcopen_parts.py`).
`st_types.py`: how the last two are written. `words.py`: texts in them. `table_data.py`: the numbers
of a table in programs.
"""
