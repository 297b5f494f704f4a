"""The layers of the diagram: states at a cut, which of them are kept, and how they merge."""
