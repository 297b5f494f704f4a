"""A study: as a table, as CSV and data, as curves with the efficient frontier.

`curves.py`, `frontier.py`: the two parts of its figure.
"""
