"""A log against a schedule or programme: where the machine deviates, and what that costs.

Logged moves are matched with the planned order by alignment, not by time: a machine that stood for
an hour goes on where it stopped. A gap in the plan costs as much as a move too many, however long
it is, and nothing where the log shows empty stations: filling and running out leave out most of a
cycle. Each of several hoists has an order of its own. Lateness counts from the first match. What a
start is later than the one before is lost by the move before taking longer, or by waiting after it;
summed up by step, stops apart, these add up to the lateness at the end.

- `planned.py`: the planned order. `align.py`, `match.py`: which planned move each logged one is, in
  one order and hoist by hoist. `occupancy.py`: what can be lifted.
- `deviations.py`: where the orders differ. `judge.py`: costs and drift. `answer.py`: what comes of
  it.
"""
