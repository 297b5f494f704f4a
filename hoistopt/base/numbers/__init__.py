"""Numbers as users write and read them.

`exact.py`: exact numbers, never binary floats. `decimals.py`: exact times as people read them.
`duration.py`, `rate.py`, `amount.py`: times, paces and changes in words ("25 min", "4.5/h").
`time_fields.py`: the fields of a problem that take a time. `shares.py`: a share of loads and how
sure it is.
"""
