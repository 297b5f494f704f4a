"""The constraint model: variables, one rule a file, aims, and reading answers back."""
