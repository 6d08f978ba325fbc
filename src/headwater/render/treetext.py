"""A tree as rows of text: for the terminal, and for the fences of Markdown."""

from __future__ import annotations

from collections.abc import Iterator

from headwater.render.clean import clean
from headwater.render.line import Line, wrapped
from headwater.view.tree import Direction, Node, Tree


def tree_lines(tree: Tree) -> Iterator[Line]:
    """Yield a tree for the terminal: a single branch runs straight on, several stand off.

    What is held is marked; what is released stands in the list of parts that goes with it.
    """
    yield from _node_lines(tree.root, tree.way, "  ■ ", "  ", released=False)


def tree_text(tree: Tree, width: int = 80) -> str:
    """Return a tree as plain text."""
    lines = _node_lines(tree.root, tree.way, "■ ", "", released=True)
    return "\n".join(row for line in lines for row in wrapped(line, width))


def _node_lines(
    node: Node, way: Direction, lead: str, rest: str, *, released: bool
) -> Iterator[Line]:
    beneath = rest + ("│ " if node.branches else "  ")
    mark = f" [{clean(node.mark)}]" if node.mark else ""
    yield Line(clean(node.text) + mark, lead=lead, rest=beneath + "  ")
    for tag in (tag for tag in node.tags if tag.held or released):
        style = "bad" if tag.held else "good"
        yield Line(clean(tag.text), style, lead=beneath + "  ", rest=beneath + "    ")
    for branch in node.branches:
        if branch.how:
            yield Line(clean(branch.how), "quiet", lead=f"{rest}│   ", rest=f"{rest}│   ")
        lead, after = _leads(rest, way, branch is node.branches[-1], len(node.branches) == 1)
        yield from _node_lines(branch, way, lead, after, released=released)


def _leads(rest: str, way: Direction, is_last: bool, is_only: bool) -> tuple[str, str]:
    """Return what stands before a branch, and before the rows that follow it."""
    if is_only:
        return rest + ("▼ " if way is Direction.DOWN else "▲ "), rest
    corner = "└" if is_last else "├"
    tip = "►" if way is Direction.DOWN else "◄"
    return f"{rest}{corner}{tip} ", rest + ("   " if is_last else "│  ")
