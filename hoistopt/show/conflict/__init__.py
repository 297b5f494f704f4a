"""What cannot be kept together on a line, and the smallest changes that help."""
