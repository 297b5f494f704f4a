"""A log against a schedule or programme: where the machine deviates, and what that costs."""
