"""The least cycle time of a given order of moves, or why it cannot work."""
