"""Training: a chain walked with a class, a hidden unit to solve, a chain explained back."""
