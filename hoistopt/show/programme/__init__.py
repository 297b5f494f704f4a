"""A programme as an answer: its rows, tables, files and words.

- `answer.py`: one that was given. `planned.py`: one that was planned, or that there is none
  (`conflicting.py`).
- `files.py`: CSV and JSON. `cautions.py`: what stands under it. `figure.py`, `hoists.py`: the
  diagram, and several hoists in it.
- `orders.py`: how late orders are. `lost.py`, `recovered.py`: loads that stand too long, and what a
  recovery gives up. `joined.py`: going over into a cycle. `at_first.py`: where several hoists are
  at time 0.
"""
