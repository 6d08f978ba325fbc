"""Tests of triage on the phone."""
