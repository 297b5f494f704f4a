"""What slack costs in cycle time: as a table, as CSV and data, as a curve.

`curve.py`: what such answers have in common. `window.py`: cycle time against loads out of window.
`panels.py`: that drawn.
"""
