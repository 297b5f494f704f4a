"""The algorithms on events and arcs, one routine each.

`longest_path.py`: earliest starts, or a circuit that stands against them. `cycle_ratio.py`: the
least cycle time and a critical circuit; `critical.py`: the plainest of several.
"""
