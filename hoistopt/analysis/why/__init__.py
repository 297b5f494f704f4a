"""What holds the cycle time where it is."""
