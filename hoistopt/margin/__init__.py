"""What a schedule forgives: how late its moves may start, and the schedules that forgive most.

- `slack.py`: how late each move may start, once and in every cycle. `once.py`: the same of
  programmes.
- `jitter/`: many runs with times of the hoist that scatter, as `scattering.py` says where nobody
  else does. `figures.py`: the few figures by which schedules are compared.
- `order.py`: an order of moves whose times are still open, with time to spare (`spare.py`) in its
  arcs. `several_order.py`: the same of several hoists.
- `search.py`, `runnable.py`: the shortest schedule that can be run. `other_orders.py`: the searches
  that look for orders of moves with time to spare. `curve.py`: what it costs that
  fewer loads stand too long.
- `most.py`: the most margin at one cycle time. `asked.py`: how much of a margin asked for can be
  kept.
"""
