"""Run Headwater as `python -m headwater`."""

from headwater.cli.main import entry

entry()
