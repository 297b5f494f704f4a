"""Schedules that forgive, and what that costs in cycle time."""
