"""A tree laid out as a stream: which rows it has, from the top down, and how they hang together.

A tree repeats a condition that is reached in two ways; a stream has it once. Each row stands in a
column; all rows that join one other share the column that leads there, and the likeliest branch,
else the longest, runs straight on. What leads back up is a loop.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from headwater.view.tree import Direction, Node, Tree

Ends = tuple[str, str]


@dataclass(frozen=True, slots=True)
class Row:
    """A condition in its place.

    `joins` are the rows nearer to the root that it hangs on to, with whether it is the first to
    use the column that leads there. `inset` is the last column with water beside this row: text
    stands right of it. `hows` tell how the causes of this row lead to it.
    """

    node: Node
    column: int
    inset: int
    joins: tuple[tuple[str, bool], ...]
    hows: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Loop:
    """A link that leads back up; `lane` counts outwards those that run beside one another."""

    cause: str
    effect: str
    lane: int


@dataclass(frozen=True, slots=True)
class Stream:
    """Rows from the top down, causes first, and what leads back up."""

    rows: tuple[Row, ...]
    loops: tuple[Loop, ...]


@dataclass(frozen=True, slots=True)
class _Walk:
    """What a walk met: conditions from the tips to the root, what each joins, what leads back."""

    order: list[str]
    joins: dict[str, list[str]]
    back: list[Ends]


def stream(tree: Tree) -> Stream:
    """Return the layout of a tree."""
    nodes = {node.condition: node for node in tree.root.walk()}
    branches = _merged(tree.root)
    walk = _walked(tree.root.condition, branches)
    down = tree.way is Direction.DOWN
    rows = [
        Row(
            nodes[cid],
            column,
            inset,
            joins,
            tuple(dict.fromkeys(filter(None, (branches[to][cid] for to, _ in joins)))),
        )
        for cid, column, inset, joins in _columns(walk)
    ]
    # A tree that runs down holds (cause, effect); one that runs back, (effect, cause).
    drawn = [(to, cid) for cid, joins in walk.joins.items() for to in joins]
    ends = [drawn, walk.back] if down else [[(b, a) for a, b in e] for e in (drawn, walk.back)]
    loops = [pair for pair in dict.fromkeys([*ends[1], *tree.closing]) if pair not in ends[0]]
    shown = tuple(reversed(rows) if down else rows)
    return Stream(shown, tuple(_lanes(shown, loops)))


def _lanes(rows: Sequence[Row], loops: Sequence[Ends]) -> Iterator[Loop]:
    """Yield each loop in the innermost lane that is free beside its rows, short ones first."""
    place = {row.node.condition: index for index, row in enumerate(rows)}
    spans = {pair: tuple(sorted(place[cid] for cid in pair)) for pair in loops}
    taken: list[list[tuple[int, ...]]] = []
    for pair, (top, bottom) in sorted(spans.items(), key=lambda item: item[1][1] - item[1][0]):
        fits = (i for i, lane in enumerate(taken) if all(b < top or a > bottom for a, b in lane))
        lane = next(fits, len(taken))
        if lane == len(taken):
            taken.append([])
        taken[lane].append((top, bottom))
        yield Loop(*pair, lane)


def _merged(root: Node) -> dict[str, dict[str, str]]:
    """Return the branches of each condition once, as condition -> how, the main one first."""
    branches: dict[str, dict[str, str]] = {}
    for node in root.walk():
        own = branches.setdefault(node.condition, {})
        ranked = sorted(node.branches, key=_likeliest)  # shortest first among equals
        for branch in ranked[::-1]:
            own.setdefault(branch.condition, branch.how)
    return branches


def _likeliest(branch: Node) -> float:
    return max(node.share for node in branch.walk())


def _walked(root: str, branches: Mapping[str, Mapping[str, str]]) -> _Walk:
    """Walk depth first; what leads to a condition on the way back to the root is a loop."""
    walk = _Walk([], {root: []}, [])
    way: list[str] = []

    def visit(cid: str) -> None:
        way.append(cid)
        for branch in branches[cid]:
            if branch in way:
                walk.back.append((cid, branch))
                continue
            met = branch in walk.joins
            walk.joins.setdefault(branch, []).append(cid)
            if not met:
                visit(branch)
        walk.order.append(way.pop())

    visit(root)
    return walk


def _columns(walk: _Walk) -> Iterator[tuple[str, int, int, tuple[tuple[str, bool], ...]]]:
    """Yield each condition, from the tips to the root, with its column, inset and joins."""
    leads: list[str | None] = []  # where each column leads to; None where it is free

    def free() -> int:
        if None not in leads:
            leads.append(None)
        return leads.index(None)

    for cid in walk.order:
        column = leads.index(cid) if cid in leads else free()
        leads[column] = None
        joins = []
        for to in walk.joins[cid]:
            first = to not in leads
            if first:
                leads[column if leads[column] is None else free()] = to
            joins.append((to, first))
        yield cid, column, max(column, _last(leads)), tuple(joins)


def _last(leads: Sequence[str | None]) -> int:
    return max((index for index, to in enumerate(leads) if to is not None), default=0)
