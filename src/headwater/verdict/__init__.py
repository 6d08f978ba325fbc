"""The verdict: what the findings come to, what the gate releases, and the plan."""
