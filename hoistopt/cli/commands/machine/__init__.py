"""Commands for the machine, and for what was measured on it, a module each."""
