"""A problem as a workbook: a sheet for each table of a problem file, read back exactly.

- `layout.py`: which sheet and column holds which key, worked out from the JSON Schema. `heads.py`:
  the heads of columns, a key and its unit. `texts.py`: values as cells hold them, and back.
- `reading.py`, `writing.py`: a workbook read as the data of a problem file, and written.
- `places.py`: errors about a value name the cell that it stands in.
"""
