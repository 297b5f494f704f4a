"""Programmes: lists of orders from an empty line to an empty line, and the next load.

    python -m benchmarks.programmes [--out DIR] [--only TEXT] [--methods A,B] [--time-limit S]

Every run is a process of its own, and the checker replays what it comes with.
"""
