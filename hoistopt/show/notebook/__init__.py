"""What a notebook shows: problems, results, schedules and replays as HTML."""

from .html import html

__all__ = ["html"]
