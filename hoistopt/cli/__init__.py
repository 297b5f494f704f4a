"""The `hoistopt` command: parse, call, show.

- `main.py`: the entry point, and how errors end. `parser.py`: the list of commands, each a module
  of `commands/`. `codes.py`: exit codes.
- Options of many commands: `arguments.py`, typed values; `searching.py`, time, threads and seed;
  `counting.py`, how a controller counts; `mapping.py`, the words of a log; `taking.py`, which of
  two schedules is meant.
- `outputs.py`: the files of one command. `ending.py`: how every command ends.
- `progress.py`, `streams.py`: what is shown meanwhile, and where. `stopping.py`: Ctrl-C and
  SIGTERM.
"""

from .main import main

__all__ = ["main"]
