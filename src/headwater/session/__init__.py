"""The session: what to ask next, and why."""
