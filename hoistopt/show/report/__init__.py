"""The report: one HTML file with figures, tables, diagram and a player of the cycle."""

from .page import report_html, save_report

__all__ = ["report_html", "save_report"]
