"""Several branches of one shop."""
