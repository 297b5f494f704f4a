"""Making sense of a foreign table: which load each step carries, and where it stands.

Needed for tables typed in from a machine, which say where the hoist goes and when, and may say
little else. Knows the line's times and recipes; nothing of the replay that follows, nor of the
rules.

- `loads.py`: one reading of a table. `resolve.py`: moves told apart that several stages or recipes
  could mean. `stationing.py`: which carrier leaves one station by which step.
"""
