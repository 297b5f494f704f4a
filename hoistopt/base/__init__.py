"""What every room may use: errors, exact numbers, files written whole, the effort of a search."""
