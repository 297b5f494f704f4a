"""How much a schedule forgives: slack, scatter of the hoist's times, robust schedules.

- :mod:`.slack`: how late each move may start, once and in every cycle;
- :mod:`.jitter`: many runs with times that scatter;
- :mod:`.robust`: the schedule that is best by several aims, nearly as short as can be;
- :mod:`.tradeoff`: what slack costs in cycle time.
"""
