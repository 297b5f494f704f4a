"""The search for the shortest cycle of one hoist: CP-SAT, and searches beside it.

`search.py` says what is tried in which order, and reads from top to bottom. A short run of CP-SAT
on the whole model ends most lines. Where it does not, schedules come from one thread, and bounds,
in the other, from a search that knows less than the model and therefore never refutes too much.
Whatever comes out is a schedule of the whole model. So a rule added to the model needs no change in
any of these searches; without it they only refute less. One exception: `reinsertion/rounds.py`
keeps schedules without a model where `says_all` finds no rule that its arrays do not tell.

Shared by all: `incumbent.py`, the best schedule and the bound, and what a search came to.
`in_threads.py`: rounds of a search in every thread.
`order.py` gives an order of moves its least cycle time.

Schedules:

- `starts/`: schedules to start from. For several loads a cycle: loads that gather at a stage that
  holds several; copies of the cycle of one set, and where several tanks serve one stage, the line
  with each group of tanks merged. A line of many moves has one load at a time from the start.
- `shifts.py`: for several loads a cycle, in turns with CP-SAT on the whole model (`turns.py`):
  moves change places with those near them in the order, every load keeps its tanks.
- `neighbourhoods.py`: some moves of the best schedule are let free, CP-SAT looks for anything
  better.
- `reinsertion/`: for several loads a cycle, moves taken out of the best schedule and put back,
  or of one load at a time, compiled: a start of cycles of more than 50 moves and of mixes with
  groups of tanks, and first in every turn.
- `annealing/`: schedules from scratch, far from the incumbent. For one load a cycle they come after
  some looks into neighbourhoods; for several in every turn, before the shifts. Up to 80 moves,
  where a turn of all these is in vain, the whole model has a longer turn at once, and they a
  shorter one next.
- `mend.py`: CP-SAT makes a schedule of what breaks a rule, in much the same order of moves.

Bounds:

- `track/`: a relaxed decision diagram along the track, where every move has one route and few loads
  cross any part of the track; for several loads in a quarter of the time, or an eighth, as on many
  lines its states are too many.
- `sequences/`: move sequences built forward in time, for one load a cycle, where tanks stand in no
  order along the track.
- `beside.py`: the other thread, while one of these two runs. It looks for schedules, and rests most
  of the time once many rounds were in vain; CP-SAT has turns there, or is asked whether a best
  schedule that stays so is the least.
- Chains of moves (:mod:`hoistopt.solver.chains`), for several loads a cycle.
- `whole.py`: CP-SAT as it comes on the whole model, from the incumbent and above the bound. It is
  the floor: in turns with the shifts where there are several loads, beside move sequences where
  there is one. What it would prove alone is not left with a gap for long.

`brief.py` is a brief look at the whole model, for those who ask for many schedules of one line.
"""
