"""Belief: how probable each origin is, and which check tells most for its minutes."""
