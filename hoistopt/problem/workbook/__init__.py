"""A problem as a workbook: a sheet for each table of a problem file, read back exactly."""
