"""The replay of programmes: moves in absolute time from a state of the line, judged by rules.

Shares the physics, the ways of the recipes and the windows with the replay of cycles;
reading, following and rules are its own.
"""
