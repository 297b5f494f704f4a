"""Fitted times of the hoist beside today's: as tables, as CSV and data, as a picture."""
