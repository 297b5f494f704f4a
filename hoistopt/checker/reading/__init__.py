"""Making sense of a table of moves: which load each step carries, and where it stands."""
