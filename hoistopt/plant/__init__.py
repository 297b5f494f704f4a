"""Measured logs of a line: reading them, following loads through them, judging their stays."""
