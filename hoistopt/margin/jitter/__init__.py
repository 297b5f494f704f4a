"""Many cycles replayed with times that scatter.

- `run.py`: the runs of a schedule, as an answer (`answer.py`). `replaying.py`: the lateness of many
  runs side by side. `judging.py`: dwells out of window and achieved cycle times.
"""
