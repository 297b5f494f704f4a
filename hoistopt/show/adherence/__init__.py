"""A log against a plan: as tables, as data, as a picture."""
