"""Many cycles replayed with times that scatter."""
