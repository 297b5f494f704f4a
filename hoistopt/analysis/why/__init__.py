"""What holds the cycle time where it is.

- `holding.py`: the critical circuit of a schedule, as an answer. `several.py`: the same of several
  hoists. `held.py`: the circuit as plain data and in sentences.
"""
