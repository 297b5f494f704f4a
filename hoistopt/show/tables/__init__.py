"""Tables of a schedule: on a terminal, as CSV, as JSON."""
