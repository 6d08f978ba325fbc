"""Tools for the author of a book: its cases run, covered, compared; a new chain started."""
