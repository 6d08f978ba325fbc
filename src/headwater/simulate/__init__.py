"""Simulated units and the people who answer at them, for trials and lessons."""
