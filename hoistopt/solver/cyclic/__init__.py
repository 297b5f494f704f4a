"""The search for the shortest cycle: CP-SAT, and searches beside it for schedules and bounds."""
