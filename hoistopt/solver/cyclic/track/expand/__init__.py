"""Expand a layer: make the states of the next cut from states and transitions."""
