"""How answers are shown: tables, drawings, the report."""
