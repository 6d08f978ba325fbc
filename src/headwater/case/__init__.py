"""The case: one unit's file, readable by hand, appended finding by finding, replayed at will."""
