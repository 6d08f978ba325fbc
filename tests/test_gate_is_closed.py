"""The gate is built in: nobody but its module reads what mends a condition, and nothing is shown
that does not stand in the table of outputs. Shown by source code that tries to walk round it."""

from __future__ import annotations

import ast
import inspect
from collections.abc import Iterator

import pytest
from occasions import BOOK_ALONE, MAKERS
from test_architecture import MODULES, room_of

from headwater import outputs
from headwater.book.model import Action, Condition, Remedies
from headwater.book.seal import Sealed, unseal
from headwater.book.tables import Nature, Verb
from headwater.render.data import plain

GATE = "verdict.gate"
OPENERS = ("book.", GATE)
"""Who may open what is sealed: the book's own room, which reads and proof-reads it; the gate."""
FROM_THE_GATE = frozenset(
    {"Decision", "Deed", "corrected_by", "corrected_by_exchange", "mending_parts"}
)
"""What other rooms than the gate's may take from it: decisions, names of parts, yes and no."""
FRONT_ENDS = frozenset({"cli", "web", "__main__"})
OWN_WORDS = frozenset({"verdict", "reasoner", "decisions", "cover"})
"""What a front end asks nobody for: it would have to word it."""
FREE_PENS = frozenset({"clean", "line", "look", "graphs", "site"})
"""Pens that a front end may use itself; `site` refuses what is no output."""
DYNAMIC = frozenset({"getattr", "vars", "eval", "exec", "compile", "__import__"})
DYNAMIC_WITH_REASON = {
    "render.data": "writes the fields of a view record, whichever it is",
    "author.diff": "compares two records field by field; what is sealed only as same or other",
    "cli.commands": "imports the module of the command that was chosen",
    "cli.main": "asks streams of the system what they can do",
    "outputs": "imports the view that was asked for",
    "yamltext": "asks whether the library was built with its fast loader",
    "author.scaffold": "reads one side of an answer, named by its caller",
    "rules.engine": "asks whether experta was imported whole",
    "files": "asks an error of the system for its reason",
    "cli.chosen": "asks the command line for every file that it names",
}


def leaks(source: str, module: str) -> list[str]:
    """Return what in the source of a module walks round the gate."""
    return sorted({*_openings(source, module), *_own_ways(source, module)})


def _openings(source: str, module: str) -> Iterator[str]:
    """Yield where what is sealed is opened, by whatever name."""
    inside = module.startswith(OPENERS)
    for node in ast.walk(ast.parse(source)):
        names: list[str] = []
        if isinstance(node, ast.ImportFrom):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.Attribute):
            names = [node.attr]
        elif isinstance(node, ast.Name):
            names = [node.id]
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            names = [node.value] if node.value in ("unseal", "_items", "__reduce__") else []
        if "unseal" in names and not inside:
            yield "opens what is sealed"
        if {"_items", "__reduce__"} & set(names) and module not in ("book.seal", "rules.engine"):
            yield "looks into what is sealed"
        used = isinstance(node, ast.Name) and node.id in DYNAMIC
        if used and not inside and module not in DYNAMIC_WITH_REASON:
            yield "asks for a name that nobody can read in the source"


def _own_ways(source: str, module: str) -> Iterator[str]:
    """Yield where a room takes more from the gate than decisions, or a front end words itself."""
    room = room_of(module)
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.ImportFrom) and node.module:
            names = {alias.name for alias in node.names}
            inside = node.module == "headwater.verdict.gate" and names - FROM_THE_GATE
            whole = node.module == "headwater.verdict" and "gate" in names
            if room != "verdict" and (inside or whole):
                yield "takes more from the gate than its decisions"
            if node.module.startswith("headwater.book.show") and module != "cli.book":
                yield "writes out a record of the book"
            if room in FRONT_ENDS and not _allowed(node.module, names):
                yield "shows something that does not stand in the table of outputs"
        own = isinstance(node, ast.Attribute) and node.attr in OWN_WORDS
        if room in FRONT_ENDS and own:
            yield "shows something that does not stand in the table of outputs"


def _allowed(module: str, names: set[str]) -> bool:
    """Say whether a front end may import this: what an output is made from, never what words it."""
    if module.startswith("headwater.view"):
        return all(name[:1].isupper() for name in names)
    if module.startswith("headwater.render"):
        return module.removeprefix("headwater.render.") in FREE_PENS
    return not module.startswith(("headwater.rules", "headwater.belief", "headwater.verdict"))


@pytest.mark.parametrize("name", MODULES)
def test_no_module_walks_round_the_gate(name: str) -> None:
    assert leaks(MODULES[name].read_text(encoding="utf-8"), name) == []


ROGUES = {
    "reads the dispositions": (
        "view.rogue",
        "from headwater.book.seal import unseal\n"
        "def told(v): return [unseal(r.dispositions) for r in v.book.conditions.values()]\n",
    ),
    "opens the seal by its slot": (
        "view.rogue",
        "def told(v): return [r.dispositions._items for r in v.book.conditions.values()]",
    ),
    "asks for the slot by a name put together": (
        "render.rogue",
        "def told(r): return getattr(r.dispositions, '_it' + 'ems')",
    ),
    "unpacks the seal as a copy would": (
        "drill.rogue",
        "def told(r): return r.dispositions.__reduce__()",
    ),
    "imports the seal's module whole": (
        "view.rogue",
        "import headwater.book.seal as s\ndef told(r): return s.unseal(r.dispositions)",
    ),
    "takes the candidates' work from the gate": (
        "view.rogue",
        "from headwater.verdict.gate import candidate_mendings",
    ),
    "takes the gate's module whole": ("session.rogue", "from headwater.verdict import gate"),
    "takes the inside of the gate": ("outputs", "from headwater.verdict.gate import _mending"),
    "shows a verdict by itself": (
        "cli.rogue",
        "def run(session, screen):\n    for d in session.verdict.plan: screen.say(d.text)",
    ),
    "words a plan by itself": ("cli.rogue", "from headwater.view.verdict import step_entries"),
    "writes a page past the table": ("web.rogue", "from headwater.render.pages import page"),
    "writes out the book's record": (
        "view.rogue",
        "from headwater.book.show import written_out",
    ),
    "runs what a reader cannot read": ("drill.rogue", "def told(r): return eval('r.x')"),
}


@pytest.mark.parametrize("rogue", ROGUES)
def test_a_rogue_is_noticed(rogue: str) -> None:
    module, source = ROGUES[rogue]
    assert leaks(source, module), rogue


def test_what_is_sealed_tells_nothing_by_itself() -> None:
    secret = Action(action=Verb.REPLACE, text="Fit the secret part.")
    record = Condition(id="c", title="c", kind=Nature.DAMAGE, dispositions=Remedies((secret,)))
    shown = [repr(record), str(record.dispositions), repr(plain(record)), f"{record!s}"]
    assert not any("secret" in text for text in shown)
    assert record.dispositions
    assert not Remedies()
    with pytest.raises(TypeError):
        iter(record.dispositions)  # type: ignore[call-overload]
    with pytest.raises(TypeError):
        len(record.dispositions)  # type: ignore[arg-type]
    with pytest.raises(AttributeError):
        record.dispositions.note = "x"
    assert unseal(record.dispositions) == (secret,)


def test_a_template_cannot_open_the_seal() -> None:
    from headwater.render.fill import _environment

    environment = _environment(str, False)
    for text in ("{{ r._items }}", "{{ r.__reduce__() }}", "{{ r.__class__.__mro__ }}"):
        template = environment.from_string(text)
        try:
            shown = template.render(r=Sealed((Action(action=Verb.SCRAP, text="secret"),)))
        except Exception:
            continue
        assert "secret" not in shown


def papers_made() -> dict[str, object]:
    """Return every public function of the rooms that word, that makes a paper, by its full name."""
    found: dict[str, object] = {}
    for name in MODULES:
        if room_of(name) in ("view", "drill", "session", "author"):
            module = __import__(f"headwater.{name}", fromlist=["_"])
            for key, value in vars(module).items():
                own = inspect.isfunction(value) and value.__module__ == module.__name__
                if (
                    own
                    and not key.startswith("_")
                    and value.__annotations__.get("return") == "Paper"
                ):
                    found[f"{name}.{key}"] = value
    return found


def test_every_paper_stands_in_the_table() -> None:
    listed = {outputs.maker(one.paper) for one in outputs.OUTPUTS if one.paper}
    made = papers_made()
    assert len(made) >= 25
    assert [name for name, function in made.items() if function not in listed] == []


def test_every_output_can_be_attacked() -> None:
    """An output that is made from something new needs a maker, and then is attacked like all."""
    for output in outputs.OUTPUTS:
        assert output.makers, output.name
        assert output.takes in MAKERS or output.name in BOOK_ALONE, output.name
    assert len(outputs.BY_NAME) == len(outputs.OUTPUTS)
    assert {output.name for output in outputs.OUTPUTS} >= BOOK_ALONE


def test_only_the_book_alone_is_outside_the_attack() -> None:
    """What is left out of the attack is made from a book, never from a case."""
    for name in BOOK_ALONE:
        text = inspect.getsource(outputs.BY_NAME[name].takes)
        assert "Session" not in text
        assert "Assessment" not in text
