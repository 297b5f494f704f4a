"""A fixed order of moves as a graph of events: circuits, longest paths, slack, retiming."""
