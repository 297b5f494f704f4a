"""The transitions of the diagram: every way to serve one more station."""
