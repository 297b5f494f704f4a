"""Several hoists on one track: where each is, and how near they come.

`ways.py`: where each is over time. `distance.py`: how far apart they are. `separations.py`: what
neighbours wait for of one another. `late_hoists.py`: how late each may be.
"""
