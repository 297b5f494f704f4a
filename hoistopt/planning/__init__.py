"""The main jobs: from a problem to a proven and checked schedule, or to a programme.

The public names come from the modules themselves (`hoistopt/__init__.pyi` lists them): who
solves for a cycle need not load what plans a programme.
"""
