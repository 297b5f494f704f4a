"""How fast hoistopt is: families of lines, baselines, and the bench that runs them."""
