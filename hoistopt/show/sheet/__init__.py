"""The printed sheet for the cabinet door: step table, alarms and cautions on A4 paper.

- `data.py`, `words.py`: what stands on it. `layout.py`: laid out once, of `parts.py` and with the
  widths of `metrics.py`. `pdf.py`, `html.py`: set as PDF and as HTML.
"""
