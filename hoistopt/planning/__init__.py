"""The main jobs: from a problem to a proven and checked schedule, or to a programme.

The public names come from the modules themselves (`hoistopt/__init__.pyi` lists them): who
solves for a cycle need not load what plans a programme.

Of the search for the best degree `best_of_degrees.py` shares out the time, and `ranking.py` says
which degree is searched on at next.
"""
