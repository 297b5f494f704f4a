"""Rules that tie the parts of a problem together, and what is hardly meant.

`together.py` has the list of all, and the rules that need the whole of a problem;
`station_checks.py`, `time_checks.py`, `hoist_checks.py` and `margin_checks.py` have those of a
part. `plausibility.py`: what is possible and yet hardly meant.
"""
