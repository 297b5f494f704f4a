"""What each limit of the line would gain by giving way.

- `search.py`: all limits, as an answer (`answer.py`). `trying.py`: each given way in turn;
  `tried.py`: what is known of one meanwhile.
- `today.py`: what today's order gains at once. `thresholds.py`: how far a limit must give way.
  `together.py`: one line that allows what any of the changed ones allows, a bound for all.
  `quicker.py`: all times of the hoist.
"""
