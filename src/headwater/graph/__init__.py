"""The causal graph: chains, loops and covers. The only room that imports networkx."""
