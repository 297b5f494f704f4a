"""The commands, a module each: what it is for, its arguments, what it does.

`COMMANDS` of `cli/parser.py` lists them.
"""
