"""The ledger: what a shop keeps of its cases, and what it learns from them."""
