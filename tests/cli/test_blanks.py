"""Files that a person fills in: the blanks that the program writes, and the page on them."""

from __future__ import annotations

import io
import json
import re
from dataclasses import is_dataclass
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from small_book import write_book

from headwater import outputs
from headwater.book.records import Book
from headwater.book.shape import hints_of, record_fields
from headwater.case.model import Approval, Case, Done, EarlierWork, LogEntry, Result
from headwater.case.read import parse_case, read_case
from headwater.case.store import case_data
from headwater.cli.main import Terminal, run
from headwater.session.letterhead import Letterhead, Tax, parse_letterhead
from headwater.session.openbook import OpenBook
from headwater.session.pricelist import parse_prices
from headwater.session.proposal import ProposalFile, ProposedStep, parse_proposal
from headwater.session.session import open_session
from headwater.verdict.prices import Exchange, Prices
from headwater.yamltext import Table, Value, parse

ROOT = Path(__file__).resolve().parents[2]
PACK = str(ROOT / "knowledge" / "transfer-case")
PAGE = (ROOT / "examples" / "FILES.md").read_text(encoding="utf-8")
BLOCK = re.compile(r"<!-- (?P<kind>\w+): (?P<name>\S+) -->\n```yaml\n(?P<text>.*?)```", re.S)
BLOCKS = {block["kind"]: (block["name"], block["text"]) for block in BLOCK.finditer(PAGE)}
KINDS: dict[str, tuple[type, ...]] = {
    "case": (Case, LogEntry, Approval, Done, EarlierWork, Result),
    "prices": (Prices, Exchange),
    "plan": (ProposalFile, ProposedStep),
    "letterhead": (Letterhead, Tax),
}
"""The records of each file: every key of theirs is to be told."""
SCHEMAS = {kind: kind for kind in KINDS} | {"plan": "plan-file"}
COMMANDS = {kind: kind for kind in KINDS} | {"plan": "proposal"}


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


def play(*words: str, typed: str = "") -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    status = run(list(words), Terminal(out, err, io.StringIO(typed), width=80))
    return status, out.getvalue(), err.getvalue()


def blank(kind: str, *more: str, book: str = PACK) -> str:
    """Return what `new` writes."""
    status, _, err = play(COMMANDS[kind], "new", "x", *more, "--book", book)
    assert (status, err) == (0, "")
    return Path("x.yaml").read_text(encoding="utf-8")


def filled_in(text: str) -> str:
    """Return a blank with every example taken: its '#' deleted, and a figure where it is empty."""
    taken = re.sub(r"^( *)#(?=\S)", r"\1", text, flags=re.M)
    taken = re.sub(r"^(currency|labour):$", lambda m: f"{m[1]}: {FIGURES[m[1]]}", taken, flags=re.M)
    return re.sub(r"^(  [a-z-]+:) +# ", r"\1 1.00  # ", taken, flags=re.M)


FIGURES = {"currency": "EUR", "labour": "64.00"}


def plain(value: Value) -> Any:
    if isinstance(value.data, Table):
        return {key: plain(item) for key, _, item in value.data}
    return [plain(item) for item in value.data] if isinstance(value.data, tuple) else value.data


def against_schema(kind: str, text: str) -> list[str]:
    """Return what the schema of a file has against a text."""
    schema = outputs.schemas()[f"{SCHEMAS[kind]}.schema.json"]
    jsonschema.Draft202012Validator.check_schema(schema)
    faults = jsonschema.Draft202012Validator(schema).iter_errors(plain(parse(text, "x.yaml")))
    return [f"{fault.json_path}: {fault.message[:200]}" for fault in faults]


# Blanks -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("kind", KINDS)
def test_a_blank_names_its_schema_first(kind: str) -> None:
    first = blank(kind).splitlines()[0]
    mark, _, uri = first.partition("$schema=")
    assert mark == "# yaml-language-server: "
    schema = json.loads(Path(uri.removeprefix("file://")).read_text(encoding="utf-8"))
    assert schema == outputs.schemas()[f"{SCHEMAS[kind]}.schema.json"]


@pytest.mark.parametrize("kind", KINDS)
def test_an_editor_marks_nothing_in_a_blank_but_what_must_be_filled_in(kind: str) -> None:
    found = [fault.partition(":")[0] for fault in against_schema(kind, blank(kind))]
    assert found == (["$.currency", "$.labour"] if kind == "prices" else [])


@pytest.mark.parametrize("kind", KINDS)
def test_a_blank_has_every_key(kind: str) -> None:
    text = blank(kind)
    for record in KINDS[kind]:
        for key in record_fields(record):
            assert re.search(rf"(^|[ #{{]){key}\b(:|')", text, re.M), f"{record.__name__}.{key}"


@pytest.mark.parametrize("kind", KINDS)
def test_a_blank_fits_a_screen(kind: str) -> None:
    wide = [line for line in blank(kind).splitlines()[1:] if len(line) > 100]
    assert [line for line in wide if not line.startswith("book: ")] == []


@pytest.mark.parametrize("kind", KINDS)
def test_nothing_is_written_over(kind: str) -> None:
    Path("x.yaml").write_text("mine\n")
    status, out, err = play(COMMANDS[kind], "new", "x", "--book", PACK)
    assert (status, out) == (2, "")
    assert err == "headwater: x.yaml: exists already; choose another name\n"
    assert Path("x.yaml").read_text() == "mine\n"


@pytest.mark.parametrize(
    ("words", "fault"),
    [
        (("x.json",), "x.json: takes no remarks, being JSON; use a name in .yaml"),
        (("none/x.yaml",), "none/x.yaml: there is no such folder; make it, or choose another"),
        (("x", "--family", "drive=belt"), "--family: 'drive' cannot be 'belt'"),
    ],
)
def test_a_blank_that_cannot_be_written(words: tuple[str, ...], fault: str) -> None:
    status, _, err = play("case", "new", *words, "--book", PACK)
    assert status == 2
    assert err.startswith(f"headwater: {fault}")
    assert err.count("\n") == 1
    assert list(Path().iterdir()) == []


def test_a_case_to_fill_in_is_a_case_at_once(book: Book) -> None:
    text = blank("case", "--family", "drive=chain", "--complaint", "it whines: low range")
    case = parse_case(text, "x.yaml")
    assert (case.case, case.complaint) == ("x", "it whines: low range")
    assert (case.unit.family, case.findings) == ({"drive": "chain"}, ())
    assert case.book is not None
    assert case.book.digest == book.digest
    assert play("diagnose", "x.yaml", "--book", PACK)[2] == ""


def test_a_case_to_fill_in_goes_on_at_the_bench() -> None:
    before = blank("case")
    status, _, err = play(
        "bench", "x.yaml", "--book", PACK, typed="\nrange-fork-pads: burnt\ndone\n"
    )
    assert (status, err) == (1, "")
    after = Path("x.yaml").read_text(encoding="utf-8")
    assert after.startswith(before)
    assert after[len(before) :].startswith("  - {check: range-fork-pads, answer: burnt")


@pytest.mark.parametrize("shipped", [True, False], ids=["shipped", "small"])
def test_every_example_of_a_case_can_be_taken(shipped: bool, tmp_path: Path) -> None:
    pack = PACK if shipped else str(write_book(tmp_path / "small"))
    text = filled_in(blank("case", book=pack))
    Path("x.yaml").write_text(text)
    case = read_case(Path("x.yaml"))
    assert case.findings[1].corrects == 1
    told = ("customer", "vehicle", "photographs", "earlier", "before")
    assert all(case_data(case)[key] for key in told)
    assert case.unit.family
    assert against_schema("case", text) == []
    status, _, err = play("diagnose", "x.yaml", "--book", pack)
    assert (status in (0, 1), err) == (True, "")


def test_a_price_list_prices_nothing_until_it_is_filled_in(book: Book) -> None:
    text = blank("prices")
    with pytest.raises(Exception, match="this is empty; write it or delete the key") as caught:
        parse_prices(text, "x.yaml", book)
    assert len(getattr(caught.value, "lines", ())) == 2
    filled = filled_in(text)
    prices = parse_prices(filled, "x.yaml", book)
    assert list(prices.parts) == list(book.parts)
    assert prices.exchange is not None
    assert against_schema("prices", filled) == []


def test_a_letterhead_to_fill_in_has_no_tax_until_then() -> None:
    text = blank("letterhead")
    bare = parse_letterhead(text, "x.yaml")
    assert bare == Letterhead(letterhead="x", place=bare.place)
    filled = parse_letterhead(filled_in(text), "x.yaml")
    assert filled.tax is not None
    assert (filled.tax.name, filled.tax.rate) == ("VAT", 19.0)
    assert filled.address == ("Mill Lane 4", "North Valley")
    assert against_schema("letterhead", filled_in(text)) == []


def test_a_plan_to_fill_in_proposes_nothing_until_then(book: Book) -> None:
    text = blank("plan")
    with pytest.raises(Exception, match="proposes nothing; write 'steps:', 'parts:'"):
        parse_proposal(text, "x.yaml", book)
    filled = filled_in(text)
    found = parse_proposal(filled, "x.yaml", book)
    assert all(item.part for item in found.items)
    assert any(item.claims for item in found.items)
    assert against_schema("plan", filled) == []


# The page ---------------------------------------------------------------------------------------


def test_the_page_has_one_example_a_file() -> None:
    assert set(BLOCKS) == set(KINDS)
    for name, text in BLOCKS.values():
        Path(name).write_text(text, encoding="utf-8")
    assert "examples/FILES.md" in (ROOT / "README.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("kind", KINDS)
def test_the_page_tells_every_key(kind: str) -> None:
    text = BLOCKS[kind][1]
    for record in KINDS[kind]:
        for key in record_fields(record):
            assert re.search(rf"\b{key}: ?", text) or f"`{key}`" in PAGE, f"{record.__name__}.{key}"


@pytest.mark.parametrize("kind", KINDS)
def test_the_records_of_a_file_are_all_known_here(kind: str) -> None:
    """A record that joins a file is to join the table above."""
    for hint in (hint for record in KINDS[kind] for hint in hints_of(record).values()):
        for inner in (hint, *getattr(hint, "__args__", ())):
            own = is_dataclass(inner) and inner.__module__.startswith("headwater.")
            told = getattr(inner, "__name__", "") in ("BookStamp", "CaseUnit")
            assert not own or told or inner in KINDS[kind], inner


def test_the_examples_of_the_page_run() -> None:
    for name, text in BLOCKS.values():
        Path(name).write_text(text, encoding="utf-8")
    case = BLOCKS["case"][0]
    earlier = "case: before\ndone:\n  - {action: replace, on: range fork}\n"
    Path("pine-77-before.yaml").write_text(earlier)
    for words in (
        ("diagnose", case),
        ("plan", case),
        ("options", case, "--prices", BLOCKS["prices"][0]),
        ("audit", case, "--plan", BLOCKS["plan"][0]),
        ("report", case, "-o", "out.html", "--prices", BLOCKS["prices"][0]),
        ("report", case, "-o", "own.html", "--letterhead", BLOCKS["letterhead"][0]),
    ):
        status, _, err = play(*words, "--book", PACK)
        assert (status in (0, 1), err) == (True, ""), words


def test_the_examples_of_the_page_say_what_they_seem_to_say(book: Book) -> None:
    texts = {kind: text for kind, (_, text) in BLOCKS.items()}
    case = parse_case(texts["case"], "pine-77.yaml")
    found = open_session(OpenBook(book), case).answers["input-bearing-float"]
    assert found.quantity is not None
    assert found.quantity.value == 1.143
    assert case.findings[-1].corrects == 1
    prices = parse_prices(texts["prices"], "winter.yaml", book)
    assert prices.parts == {"range-fork": 88.0, "front-housing": 410.0, "dowels": 4.0}
    plan = parse_proposal(texts["plan"], "offer.yaml", book)
    parts = [item.part for item in plan.items]
    assert parts == ["front-housing", "range-fork", "input-bearing", "chain"]


@pytest.mark.parametrize("kind", KINDS)
def test_the_examples_of_the_page_fit_their_schemas(kind: str) -> None:
    text = BLOCKS[kind][1].replace("answer: 0,045 in", 'answer: "0,045 in"')
    assert against_schema(kind, text) == []


FOLDERS = {"case": "units/*[0-9].yaml", "prices": "price*/*.yaml", "plan": "plans/*.yaml"}
FOLDERS["letterhead"] = "letterhead.yaml"


@pytest.mark.parametrize("kind", KINDS)
def test_every_shipped_example_fits_its_schema(kind: str) -> None:
    paths = sorted((ROOT / "examples").glob(FOLDERS[kind]))
    assert paths
    found = {path.name: against_schema(kind, path.read_text("utf-8")) for path in paths}
    assert {name: faults for name, faults in found.items() if faults} == {}


@pytest.mark.parametrize("kind", ["checks", "parts", "conditions", "removals"])
def test_the_ids_that_the_page_names_can_be_listed(kind: str, book: Book) -> None:
    status, out, err = play("book", "show", kind, "--book", PACK)
    assert (status, err) == (0, "")
    listed = {word.strip(" -:") for word in out.split()}
    assert set(book.table(kind)) <= listed
    assert f"`{kind}`" in PAGE or f"show {kind}`" in PAGE
