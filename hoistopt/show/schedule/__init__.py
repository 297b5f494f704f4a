"""A schedule and the search for it: in words, as tables, as CSV and as data."""
