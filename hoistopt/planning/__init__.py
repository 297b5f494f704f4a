"""The main jobs: from a problem to a proven and checked schedule, or to a programme.

The public names come from the modules themselves (`hoistopt/__init__.pyi` lists them): who solves
for a cycle need not load what plans a programme.

A cycle:

- `cycle.py`: the main job. `found.py`: from what a search found to the result (`result.py`),
  which says how its degree was chosen as well.
  `forgiving.py`: what it forgives, and the shortest cycle that can be run;
  `runnable_degrees.py`: that of another degree. `fitting.py`: whether a model fits into memory.
- `best_degree/`: the best degree in one time limit. `degrees.py`: degrees solved one by one.
  `idle.py`: groups of tanks, and tanks and hoists left idle.

A programme:

- `programme.py`: from a state and orders. `planned.py`: from what a search found to a plan
  (`plan_result.py`); which route a known step takes.
- To begin with: `from_cycle.py`, a cycle filled and run out; `run_out.py`, the rest of the cycle
  under way; `at_pace.py`, loads in the places of a cycle.
- `promised.py`: what of a programme keeps its times. `waiting.py`: more loads placed beside it at
  once.
- `recovery.py`: after a stop; `lost.py`: what it gives up.

- `joining/`: programmes that go over into a cycle.

What is promised is part of every problem as moves with given starts (`FiniteInstance.promised`).
Bounds leave them out, as a promise may be tighter than whole ticks.
"""
