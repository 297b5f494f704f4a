"""What a log says of a line: each stay judged, and figures over many.

`stays.py`: each stay judged. `stages.py`, `stops.py`, `trends.py`: figures by stage, stops, and
over time. `judge.py`: all of it.
"""
