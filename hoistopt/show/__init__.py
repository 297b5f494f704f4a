"""How answers are shown: one place for each kind of answer.

`answer.py` says what every kind gives: data for JSON, tables for a terminal, tables as data for CSV
and workbooks, a figure, words, cautions. A kind has a folder: `adherence/`, `compare/`,
`conflict/`, `fit/`, `jitter/`, `levers/`, `log/`, `programme/`, `schedule/`, `study/`, `tradeoff/`,
`why/`; or, where it is small, a file: `order.py`, `robust.py`, `slack.py`, `without.py`. In a
folder `answer.py` is the answer, `data.py` its plain data and CSV, `rows.py` its tables as data,
`table.py` or `tables.py` those for a terminal, `figure.py` its drawing, `words.py` its sentences;
other files are named in the folder's own docstring.

What they share:

- `tables/`: the look of tables, CSV, JSON. `workbook.py`: an answer as a workbook. `drawing/`: the
  look of drawings.
- `timeway/`: the time-way diagram. `report/`: the HTML report. `sheet/`: the printed sheet.
  `notebook/`: what a notebook shows.
"""
