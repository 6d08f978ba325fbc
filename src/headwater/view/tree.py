"""The tree of a chain: what leads to what, and what is known of each link. Drawn by others.

A tree runs one of two ways: from an origin down to all that it did (`down`), or from one thing
found back to the origins that may have done it (`back`). Paths share the nodes they begin with.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from headwater.book.records import Book
from headwater.graph.causal import Graph, chance_of, likeliest_chains
from headwater.rules.compile import Fact, Mark
from headwater.rules.status import Status
from headwater.verdict.account import Candidate, NamedChain, Naming
from headwater.verdict.assess import Assessment
from headwater.verdict.decision import Decision
from headwater.verdict.reach import cannot_be_seen
from headwater.view.words import part_title, percent, title, verb_in_plain

MOST_CANDIDATES = 6
PLAIN_STARTS = {
    Naming.PROVEN: "Where it began",
    Naming.PROBABLE: "Where it most probably began",
    Naming.OPEN: "Where it may have begun",
}

Steps = tuple[str, ...]


class Direction(StrEnum):
    """From the origin down to the damage, or from the damage back."""

    DOWN = "down"
    BACK = "back"


class Seen(StrEnum):
    """What is known of a node by looking."""

    FOUND = "found"
    NOT_SEEN = "not seen"
    HIDDEN = "cannot be seen"


@dataclass(frozen=True, slots=True)
class Tag:
    """What the gate decided for the part of a node."""

    text: str
    held: bool


@dataclass(frozen=True, slots=True)
class Node:
    """A condition in a tree; `how` tells how the one before it in the tree and it hang together.

    `share` is how likely it is as the origin, from 0 to 1, where that is known.
    """

    condition: str
    text: str
    mark: str = ""
    seen: Seen = Seen.NOT_SEEN
    origin: bool = False
    how: str = ""
    tags: tuple[Tag, ...] = ()
    branches: tuple[Node, ...] = ()
    share: float = 0.0

    def walk(self) -> Iterator[Node]:
        """Yield this node and all behind it."""
        yield self
        for branch in self.branches:
            yield from branch.walk()


@dataclass(frozen=True, slots=True)
class Tree:
    """A tree with its heading, its way, and how surely it is named.

    `closing` are the links (cause, effect) by which something in it leads back to a cause of its
    own: with them a chain becomes a loop.
    """

    heading: str
    way: Direction
    naming: Naming
    root: Node
    closing: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Wording:
    """How things are called: in the words of the shop, or in plain ones for the owner.

    `numbers` are the findings by check, for 'see finding 2'; empty where no findings are listed.
    """

    book: Book
    plain: bool = False
    numbers: Mapping[str, int] | None = None

    def condition(self, cid: str) -> str:
        """Return what a condition is called."""
        record = self.book.conditions.get(cid)
        plain = record.plain if record and self.plain else ""
        return plain or title(self.book, cid)

    def part(self, part: str) -> str:
        """Return what a part is called."""
        return part_title(self.book, part)


def shown_chains(assessment: Assessment) -> list[NamedChain]:
    """Return the named chains, and for what is not named the live ones as `open`."""
    chains: dict[tuple[str, ...], NamedChain] = {}
    live = assessment.live_chains
    for account in assessment.accounts.values():
        for chain in account.chains:
            chains.setdefault(chain.path, chain)
        for way in live.get(account.condition, {}).values():
            chains.setdefault(way.path, NamedChain(way.path, Naming.OPEN))
    return list(chains.values())


def case_trees(
    assessment: Assessment, words: Wording, chains: Sequence[NamedChain] | None = None
) -> list[Tree]:
    """Return one tree for each named origin, then one for each thing found that none explains.

    `chains` are the shown chains, where the caller has them already.
    """
    chains = shown_chains(assessment) if chains is None else chains
    opened = [_open_tree(assessment, words, cid, chains) for cid in assessment.unexplained]
    return [*named_trees(assessment, words, chains), *(tree for tree in opened if tree)]


def named_trees(
    assessment: Assessment, words: Wording, chains: Sequence[NamedChain] | None = None
) -> list[Tree]:
    """Return one tree for each named origin: all that was found of what it did."""
    named: dict[str, list[NamedChain]] = {}
    for chain in shown_chains(assessment) if chains is None else chains:
        if chain.naming is not Naming.OPEN:
            named.setdefault(chain.origin, []).append(chain)
    return [_named_tree(assessment, words, origin, own) for origin, own in named.items()]


def _named_tree(
    assessment: Assessment, words: Wording, origin: str, chains: list[NamedChain]
) -> Tree:
    naming = assessment.origins[origin]

    def node(path: Steps, branches: tuple[Node, ...]) -> Node:
        cid = path[-1]
        how = "" if len(path) < 2 else f"so {assessment.book.links[path[-2], cid].how}"
        return _case_node(assessment, words, cid, how, branches, cid == origin)

    root = grow((origin,), [chain.path for chain in chains], node)
    start = PLAIN_STARTS[naming] if words.plain else f"Origin, {naming.value}"
    closing = _closing(assessment.book, Direction.DOWN, root)
    return Tree(f"{start}: {words.condition(origin)}", Direction.DOWN, naming, root, closing)


def _open_tree(
    assessment: Assessment, words: Wording, found: str, chains: Sequence[NamedChain]
) -> Tree | None:
    """Return what may have led to something found: the likeliest origins that are still live."""
    ways = {chain.origin: chain.path for chain in chains if chain.found == found}
    live = [c for c in assessment.accounts[found].candidates if c.origin in ways]
    shares = {c.origin: c for c in live[:MOST_CANDIDATES] if c.origin}
    if not shares:
        return None

    def node(path: Steps, branches: tuple[Node, ...]) -> Node:
        cid = path[-1]
        drawn = _case_node(assessment, words, cid, "", branches, cid in shares)
        return _with_share(drawn, shares.get(cid))

    root = grow((found,), [tuple(reversed(ways[origin])) for origin in shares], node)
    heading = f"Not explained: {words.condition(found)}"
    closing = _closing(assessment.book, Direction.BACK, root)
    return Tree(heading, Direction.BACK, Naming.OPEN, root, closing)


def _closing(book: Book, way: Direction, root: Node) -> tuple[tuple[str, str], ...]:
    """Return the book's links from a condition of a tree back to itself or a cause of its own."""
    found: dict[tuple[str, str], None] = {}

    def visit(node: Node, before: Steps) -> None:
        for other in (*before, node.condition):
            ends = (node.condition, other) if way is Direction.DOWN else (other, node.condition)
            if ends in book.links:
                found.setdefault(ends)
        for branch in node.branches:
            visit(branch, (*before, node.condition))

    visit(root, ())
    return tuple(found)


def _with_share(node: Node, candidate: Candidate | None) -> Node:
    if candidate is None:
        return node
    mark = f"possible origin, {percent(candidate.share)}; {node.mark}"
    return replace(node, mark=mark, share=candidate.share)


def _case_node(
    assessment: Assessment,
    words: Wording,
    cid: str,
    how: str,
    branches: tuple[Node, ...],
    origin: bool,
) -> Node:
    seen, mark = seen_words(assessment, cid)
    if words.plain:
        mark = mark.partition(":")[0]
    numbers = _finding_numbers(assessment, words, cid)
    if numbers:
        mark += f", finding {numbers}"
    tags = tuple(
        part_tag(words, decision)
        for decision in assessment.decisions.values()
        if cid in decision.conditions
    )
    return Node(cid, words.condition(cid), mark, seen, origin, how, tags, branches)


def _finding_numbers(assessment: Assessment, words: Wording, cid: str) -> str:
    known = words.numbers or {}
    checks = assessment.evidence.basis.get(Fact(cid, Mark.SHOWN), ())
    return ", ".join(str(n) for n in sorted(known[check] for check in checks if check in known))


def part_tag(words: Wording, decision: Decision) -> Tag:
    """Return the gate's decision for a part in a few words; a held part names no action."""
    part = words.part(decision.part)
    if not decision.released:
        return Tag(f"ON HOLD: {part}" if words.plain else f"HELD: {part}, no action yet", True)
    if words.plain:
        return Tag(f"{part} {verb_in_plain(decision.action)}", False)
    verb = decision.action.value if decision.action else "no action needed"
    return Tag(f"released: {part}, {verb}", False)


def seen_words(assessment: Assessment, condition: str) -> tuple[Seen, str]:
    """Return whether a condition was found, and if not, why it stands in the chain all the same."""
    status = assessment.statuses[condition]
    if status is Status.CONFIRMED:
        return Seen.FOUND, "found"
    if status is Status.DISPUTED:
        return Seen.NOT_SEEN, "findings disagree"
    if assessment.book.conditions[condition].unobservable:
        return Seen.HIDDEN, "cannot be seen"
    checks = assessment.reasoner.deciders.get(condition, ())
    if checks and all(cannot_be_seen(check, assessment.stand) for check in checks):
        return Seen.HIDDEN, "can no longer be seen"
    return Seen.NOT_SEEN, f"not seen: {status.value}"


def book_tree(book: Book, graph: Graph, condition: str, *, loops: bool = False) -> Tree:
    """Return all that may lead to a condition: each origin once, by its likeliest way.

    With `loops`, also the ways by which what it causes leads back to it.
    """
    ways = likeliest_chains(graph, condition)
    starts = [origin for origin in book.origins if origin in ways]
    starts += [effect for effect in graph.succ[condition] if loops and effect in ways]
    wanted = [tuple(reversed(ways[start])) for start in starts]

    def node(path: Steps, branches: tuple[Node, ...]) -> Node:
        cid = path[-1]
        often = "" if len(path) < 2 else book.links[cid, path[-2]].often.word
        origin = cid in book.origins
        mark = f"origin, {often}" if origin and often else ("origin" if origin else often)
        share = chance_of(graph, ways[cid]) if origin else 0.0
        return Node(cid, title(book, cid), mark, origin=origin, branches=branches, share=share)

    root = grow((condition,), wanted, node)
    closing = _closing(book, Direction.BACK, root)
    return Tree(f"What may lead to: {root.text}", Direction.BACK, Naming.OPEN, root, closing)


def grow(
    stem: Steps, paths: Iterable[Steps], make: Callable[[Steps, tuple[Node, ...]], Node]
) -> Node:
    """Return the tree of all paths that begin with `stem`; longer branches come last."""
    onward = [path for path in paths if path[: len(stem)] == stem and len(path) > len(stem)]
    nexts = dict.fromkeys(path[len(stem)] for path in onward)
    branches = [grow((*stem, cid), onward, make) for cid in nexts]
    branches.sort(key=lambda branch: sum(1 for _ in branch.walk()))
    return make(stem, tuple(branches))
