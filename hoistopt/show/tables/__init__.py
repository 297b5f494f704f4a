"""What all answers share: the look of tables, CSV, JSON, numbers."""
