"""Problem files: read, written anew and begun.

`load.py`: `load_problem`. `time_tables.py`: tables of times beside the file. `toml_guard.py`: what
the TOML reader does not stop. `template.py`: the commented file to start from. `rewriting.py`: a
file with figures of its hoist changed, comments kept.
"""
