"""Search along the track: a relaxed decision diagram whose layers are cuts of the track.

Cut the track between two neighbouring stations. In one cycle the hoist crosses the cut to the
right and back again, some times with a load and some times empty. Whatever happens on the left
of the cut can influence the right by the times of these crossings only. So all schedules of the
stations on the left can be told apart by few numbers, and stations are served one after another
from the left: dynamic programming over cuts. As a decision diagram:

* A *state* at a cut is the order of the crossings and the minimum separation of any two of them
  that the left of the cut asks for, and the hoist's minimum time on the left.
* Its *state key* is the order of the crossings with the loads carried. After states of one key the
  rest of the line can be served in the same ways.
* A *layer* is all states at a cut.
* A *transition* is one way to serve the next station: which trips the hoist makes there, between
  which crossings. It leads from a state at the cut on the station's left to one on its right, and
  is feasible if the separations have no positive circuit and the hoist's time fits the cycle.
* *Dominance*: a state whose numbers are all at most those of another with its key makes the
  other needless.
* *Merging*: where a key has too many states, some become one state with the least of each number.

Every schedule is a path from the empty line on the left to the last station. Dominance and
merging leave, for each path they take away, one whose numbers are no larger. If no path reaches
the end, there is no schedule, at any cycle time of the span looked at: a proof. A path that does
reach the end need not be a schedule if states were merged. It has an order of moves that the whole
model then gives its least cycle time.

A *forward pass* goes from the left end to the right, a *backward pass* from the right end to the
left, as a forward pass on the mirrored line. The states of one pass are *completion bounds* for
the next: what the far side takes, at the least. Passes take turns, merge less each time, and
drop states that have no completion.

Example (invented)
------------------
A hoist serves tanks A, B and C; loads enter and leave at one place on their left, at the ends.
Empty travel takes 10 s from one to the next. Move 0 brings a load to A in 20 s, move 1 takes it to
B in 20 s, move 2 to C in 20 s, and move 3 to the ends in 40 s. A load stays from 30 s to 60 s in
each tank. The cycle time is 200 s. Look at the cut between B and C, and at the key

    R2   move 2 lifts in B and goes right,
    L3   move 3 lifts in C and goes left, to the ends,
    R-   the hoist leaves B, empty, to the right,
    L-   the hoist is back at B, empty,

in this order round the cycle. Left of the cut the hoist makes two visits, from L3 to R- and from
L- to R2, and has to make moves 0 and 1 in them. There are two states with this key:

State P, all in the first visit. From L3 on: 40 s until the load is down at the ends, 20 s for
move 0, 30 s in A, 20 s for move 1. So R- is 110 s after L3. In the second visit the hoist lifts
as soon as it is back, so R2 is 0 s after L-. The load in B has then been there from 110 s after
L3; with the 30 s of its dwell R2 is 140 s after L3 at the earliest. The hoist's time on the left,
with the 20 s of move 2, is 110 + 0 + 20 = 130 s.

State Q, one move in each visit. From L3 on: 40 s to the ends, 20 s for move 0, 10 s on to B,
empty: R- is 70 s after L3. From L- on: 10 s to A, 20 s for move 1, 30 s in B: R2 is 60 s after
L-. The hoist's time on the left is 70 + 60 + 20 = 150 s. As it takes 20 s to C and back, R2 is
70 + 20 + 60 = 150 s after L3.

The other way round, move 1 in the first visit and move 0 in the second, is infeasible: move 0 would
end 10 s before R2, move 1 begin 20 s for move 2, 40 s for move 3 and 10 s of travel after R2, and
the load would have been in A for 80 s.

All their numbers, in seconds. Maximum dwells show in some: in P, move 1 must end at most 60 s
before R2, so in a cycle of 200 s R- is at least 200 - 60 = 140 s after the R2 before.

    from  to     P    Q  merged
    L3    R2   140  150     140
    L-    R2     0   60       0
    R2    L3    20   20      20
    L-    L3    20   80      20
    R2    R-   140   90      90
    L3    R-   110   70      70
    L-    R-   140  160     140
    hoist      130  150     130

Neither dominates the other. Merged, they are the state in the last column. It allows the hoist to
leave 70 s after L3, as in Q, and to lift as soon as it is back, as in P. No schedule does both, but
every schedule that goes on from P or from Q keeps the numbers of the merged state too: it only
relaxes. If nothing can follow the merged state, nothing can follow P or Q.

The price: let the dwells be 70 s exactly in A, 90 to 120 s in B, and 80 to 150 s in C. No schedule
has a cycle time of 220 s, and a pass that merges nothing shows it. A pass that keeps one state of
each key still has a path to the end, so it shows nothing.

Files
-----
- `line/`: what the search looks at, stations in a row and their rules. `times/`: times packed for a
  whole span of cycle times. `transitions/`: every way to serve the next station.
- `layers/`: states, dominance and merging. `expand/`: new states, in compiled loops.
- `bounds/`: what completing a state takes at the least, from a pass in the other direction, and
  what all the hoist's visits to the left take together, an assignment.
- `passes.py`: a pass, station by station, in as many threads as there are (`threads.py`).
- `search.py`: refutes span after span of cycle times from the shortest up, forward and backward in
  turn. It halves a span where a pass had much to examine, and makes spans narrower as a time limit
  comes near.
- `path.py`: reads the order of moves off the diagram.

Sources
-------
Decision diagrams with merged states as relaxations: D. Bergman, A. A. Cire, W.-J. van Hoeve and
J. Hooker, Decision Diagrams for Optimization, Springer 2016 (relaxed diagrams in chapter 4, from
memory). Minimum separations as longest paths: R. W. Floyd, Algorithm 97, Communications of the
ACM 5 (1962), 345. Layers that are cuts of a hoist's track, their states, and the packing of times
are this project's own.
"""

from .line import can_search_track

__all__ = ["can_search_track"]
