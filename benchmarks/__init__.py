"""How fast hoistopt is: families of lines, baselines, and the bench that runs them.

`README.md` says how to run it and what is compared; results lie in `results/`.

- `run.py`: a suite of `suites.py`, each case of `lines/` by each method (`methods/`) in a process
  of its own (`runner.py`, `child.py`), from a copy of the code (`snapshot.py`). `store.py`: the
  rows, only ever appended to. `agreement.py`: bounds against checked schedules. `tables/`: what
  comes of it, and the targets.
- Suites with a module of their own: `programmes/`, `hoists/`, `chosen/`, `forgiving.py`, and what
  they share (`apart.py`). `year_log.py`: a log of two million events. `block_stories.py`: stories
  of the function block.
- `machine.py`, `memory.py`, `warm.py`, `carry.py`: the machine, its memory, loops compiled before,
  and schedules as text between processes.
"""
