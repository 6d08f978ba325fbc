"""Limits and bench arithmetic: plain functions with units, source and tests.

`judge` says where a reading lies between limits, `registry` names the works a check or the bench
can ask for; the other modules hold the formulas, one family each.
"""
