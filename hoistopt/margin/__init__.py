"""What a schedule forgives: how late its moves may start, and the schedules that forgive most.

``slack.py`` says how late each move may start, once and in every cycle. ``jitter/`` runs a
schedule many times with times of the hoist that scatter. ``figures.py`` puts both into the
few figures by which schedules are compared; ``runnable.py`` finds the shortest schedule that
can be run.
"""
