"""The rules: the book compiled to forward-chaining rules, run by experta."""
