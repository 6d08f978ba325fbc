"""The book: its model, its loader, its checker."""
