"""The hoist's times from what was measured: least squares, and how well they are told."""
