"""What slack costs in cycle time: as a table, as CSV and data, as a curve."""
