"""Several hoists on one track: hoistopt against fixed zones and stock CP-SAT, side by side.

python -m benchmarks.hoists [--only TEXT] [--seeds N] [--methods A,B] [--time-limit S]

The search was tuned on seeds 0 to 9; reported are seeds from 10 on.

`lines.py`: the lines. `one.py`: one run, in a process of its own. `report.py`: the tables.
"""
