"""A log judged against the recipes: words, tables, CSV of every stay, pictures, a page.

- `stays_csv.py`: every stay. `page.py`: the page.
- Pictures: `dwells.py`, histograms; `run_chart.py`, loads and stays over time; `stretch.py`, a
  stretch as a time-way diagram. `time_axis.py`: local time along them. `shown.py`: times as people
  read them.
"""
