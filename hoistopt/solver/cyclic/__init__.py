"""The search for the shortest cycle: CP-SAT, and searches beside it for schedules and bounds.

`search` says what is tried in which order. Schedules to start from: `one_by_one`, `first`, `starts`
with `copies` and `groups`. Better schedules: `neighbourhoods`, `shifts`, `annealing`. Bounds, and
schedules too: `track` and `sequences`. All share the `incumbent`; `order` gives an order of moves
its least cycle time.
"""
