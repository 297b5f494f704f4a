"""Two schedules side by side: as tables and as data."""
