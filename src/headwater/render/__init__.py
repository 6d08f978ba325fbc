"""The pens: each writes what it is given, as a page, Markdown, a drawing, rows of text."""
