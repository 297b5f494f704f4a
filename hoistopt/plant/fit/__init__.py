"""The hoist's times from what was measured: least squares, and how well they are told.

Readings of one thing scatter about what it takes (s); things differ from the physics by themselves
(t): the mean of n readings has the variance s^2/n + t^2, with t after Paule and Mandel (1982).
Errors hold with that. An F-test of the misfit against s says whether the physics fits, and where it
does not, a changed file has a table.

Whole moves show lift + lower + settling only; ways long enough for top speed show settling + v/a
only. Such sums share one variable, or one of the two is held, and a figure that depends on one that
is held says so. An acceleration counts as told only where times are clearly nearer than a straight
line is: over a way just long enough the squares are flat, and an error from their curvature would
be wrong. A log hides empty travel behind the wait for the next lift, so it gives bounds: the
slowest hoist that does every pair in the least time seen.

- `fit.py`: from readings to the answer (`answer.py`). `parts.py`: the fit of what hangs together,
  and whether the physics fits.
- `figures.py`, `physics.py`: the figures of a file, and times that follow from them.
  `coordinates.py`: which of them a fit may change.
- `outliers.py`: readings set aside. `squares.py`: least squares and their errors. `identify.py`:
  what the times tell. `envelope.py`: empty travel from a log. `scattering.py`: how times scatter.
- `rounding.py`, `changes.py`: rounded to the safe side, and changed in a problem file.
"""
