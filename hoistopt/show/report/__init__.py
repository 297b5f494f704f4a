"""The report: one HTML file with figures, tables, diagram and a player."""

from .once import programme_html
from .page import report_html, save_report

__all__ = ["programme_html", "report_html", "save_report"]
