"""What all drawings share: axes, colours, look, wording, saving. No matplotlib on import."""
