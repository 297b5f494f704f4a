"""Programmes: lists of orders from an empty line to an empty line, and the next load.

    python -m benchmarks.programmes [--out DIR] [--only TEXT] [--methods A,B] [--time-limit S]

Every run is a process of its own (`one.py`), and the checker replays what it comes with.

- `tasks.py`: lines and their orders. `next_load.py`: how long it takes to say which load may enter
  when. `report.py`: the tables.
- Baselines: `dispatch.py`, a plain dispatcher; `pairwise.py`, a pairwise model in absolute time.
"""
