"""Headwater: finds why a driveline unit failed, and refuses to stop at the part that failed."""

__version__ = "0.1.0"
