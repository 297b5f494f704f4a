"""Spreadsheet workbooks (.xlsx): written for people, read safely.

- `package.py`: whether a file is safe to open. `reading.py`: its cells; no formula is worked out.
- `sheet.py`: what a sheet holds, as plain data. `table_text.py`: a sheet for whoever reads CSV.
- `writing.py`: sheets that people fill in.
"""
