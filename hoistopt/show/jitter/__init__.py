"""A schedule under scattered times: as a table, as CSV and data, as histograms."""
