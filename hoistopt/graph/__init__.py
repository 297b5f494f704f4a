"""A fixed order of moves as one event graph, and what can be asked of it.

- `arc.py`: what an arc and an event graph are. `wording.py`: arcs in the words of the trade.
- Builders: `from_instance.py`, from the solver's instance and the pattern of a schedule
  (`pattern.py`, `turns.py`), in ticks; `from_replay.py`, from the checker's reading of a plan
  (`plan_ends.py`), in exact times; `from_programme.py`, the same of a programme. `timed_plan.py`:
  what is read off the plan besides.
- `algorithms/`: longest paths, the least cycle time and its critical circuit.
- `retiming.py`, `spread_margin.py`: new starts for the order. `within.py`: starts near those
  stated. `kept_margin.py`: what margins the starts keep as they are.
- `buffers.py`: how late an event makes others late, and what it exceeds then; of what is made
  once. `lateness.py`: a late start followed through the cycles that come after it.
- `several.py`: what several hoists wait for of one another. `several_retiming.py`: their order
  drawn together.
"""
