"""A programme as an answer: its rows, tables, files and words."""
