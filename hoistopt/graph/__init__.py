"""A fixed order of moves as one event graph, and what can be asked of it.

``arc.py`` says what an arc and an event graph are. Two builders make one:
``from_instance.py`` from the solver's instance and the pattern of a schedule
(``pattern.py``, ``turns.py``), in ticks; ``from_replay.py`` from the checker's reading of
a plan (``plan_ends.py``), in exact times. Of either graph, ``longest_path.py`` finds
earliest starts or a circuit that stands against them; ``cycle_ratio.py`` the least cycle
time and a critical circuit, ``critical.py`` the plainest of several; ``retiming.py`` and
``spread_margin.py`` new starts. ``lateness.py`` follows a late start through the cycles
that come after it. ``wording.py`` names arcs in the words of the trade.
"""
