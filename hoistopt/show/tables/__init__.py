"""What all answers share: the look of tables, CSV, JSON, numbers.

- `data_table.py`: a table as data. `terminal.py`, `csvfile.py`, `jsonfile.py`: how it is
  written. `counting.py`: many figures in few words.
"""
