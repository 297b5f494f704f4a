"""Moves taken out of a schedule and put back elsewhere, compiled: several loads a cycle.

Ruin and recreate (Schrimpf, Schneider, Stamm-Wilbrandt and Dueck 2000, Journal of Computational
Physics 159(2), 139-171) on the order of the moves: some are taken out, and put back one by one
wherever a cycle hardly longer than the last one has room for them. What has room is told by the
least times between any two moves, a simple temporal network (Dechter, Meiri and Pearl 1991,
Artificial Intelligence 49, 61-95). A thousand tries take CP-SAT's time for one look.

- `line.py`: the moves of a line as arrays; room to work in. `arrays.py`: from an instance and a
  schedule to these, and back.
- `tanks.py`: what follows from the tanks that loads are in; other tanks for some of them.
- `network.py`: the least times between moves.
- `order.py`: the least cycle of an order of moves, and what keeps it from being shorter.
- `removal.py`: which moves are taken out.
- `insertion.py`: putting them back.
- `kernel.py`: both by turns, at one temperature.
- `rounds.py`: rounds of cooling in every thread, and the schedules they lead to.
"""

from .rounds import Reinsertion, can_reinsert

__all__ = ["Reinsertion", "can_reinsert"]
