"""The formats of tables of several hoists, a file each, for `export.py`.

`csv_format.py`, `json_format.py`, `st_format.py`, `plcopen_format.py`; `program.py`: types and
blocks as data for the last two. `words.py`, `once_words.py`: texts.
"""
