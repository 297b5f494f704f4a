"""Questions about a line and a schedule on it, a folder or file each.

- :mod:`.figures`: what a replay shows of a schedule; :mod:`.idle`: what it does not need;
- :mod:`.why`: what holds the cycle time where it is;
- :mod:`.levers`: what each limit of the line would gain by giving way;
- :mod:`.order`: the least cycle time of a given order of moves;
- :mod:`.without`: what the line loses without a tank or a hoist;
- :mod:`.compare`: two schedules, or two versions of a line, side by side;
- :mod:`.study`: the line over and over while some of its figures vary;
- :mod:`.robust`: schedules that forgive, and what that costs in cycle time;
- :mod:`.tolerance`: whether times near those that a table states break no rule.
"""
