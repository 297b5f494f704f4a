"""Questions about a schedule or a line, a folder or file each.

- `figures/`: what a replay shows of a schedule, for every output.
- `why/`: what holds the cycle time. `levers/`: what each limit would gain by giving way.
- `order/`: the least cycle time of a given order of moves, or why it cannot work.
- `robust/`: the schedule that is best by several aims, nearly as short as can be, and what margin
  costs in cycle time.
- `study/`: a line over and over while some of its figures vary. `compare/`: what a change did.
- `without/`: what is lost without a tank or a hoist. `tolerance.py`: tables of rounded times.
"""
