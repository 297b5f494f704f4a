"""A study: as a table, as CSV and data, as curves with the efficient frontier."""
