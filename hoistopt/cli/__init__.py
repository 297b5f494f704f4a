"""The `hoistopt` command: parse, call, show."""

from .main import main

__all__ = ["main"]
