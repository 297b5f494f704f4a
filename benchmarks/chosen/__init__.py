"""Whether the degree that hoistopt chooses gives as much as any degree that is given.

    python -m benchmarks.chosen [--out DIR] [--time-limit S] [--seeds 10,11] [--only TEXT]

On lines with groups of tanks and the times of a real hoist, `hoistopt.solve` chooses the degree in
so much time; then every degree that the line gives reason to try is given, with as much time for
each. Every run is a process of its own (`one.py`); `report.py` writes the tables.
"""
