"""A check answered with a damage mode, and packs that are about some units only."""

from __future__ import annotations

from io import StringIO
from pathlib import Path

import pytest

from headwater.book.check import check_book
from headwater.book.load import load_book, read_packs
from headwater.book.records import Book, for_family
from headwater.case.read import parse_case
from headwater.cli.main import Terminal, run
from headwater.measure.answer import AnswerError, understand
from headwater.rules.evidence import weigh
from headwater.session.openbook import family_of

MODES = """\
reasons:
  loose: {title: the ring is loose}
  water: {title: water got in}
modes:
  fretting:
    of: ring
    title: fretting corrosion
    clause: "5.3.3.2"
    source: common-practice
    looks: Red powder on the seat.
    neighbours: {rust: "Only where two surfaces touch."}
    points-to: [loose]
  rust:
    of: ring
    title: moisture corrosion
    source: common-practice
    looks: Rust spots on the track.
    points-to: [water]
  other:
    of: tooth
    title: another list
    source: common-practice
    looks: A tooth is gone.
    points-to: [loose]
"""
USER = """\
parts:
  bearing: {title: bearing}
conditions:
  bearing-bad:
    title: bearing bad
    kind: damage
    part: bearing
    dispositions: [{action: replace, text: Fit a new bearing.}]
  bore-worn:
    title: bore worn
    kind: damage
    part: bearing
    origin: {common: common, corrections: [{action: machine, text: Sleeve the bore.}]}
checks:
  tracks:
    ask: What do the tracks show?
    seats: bench
    minutes: 5
    modes: ring
    any-mode: {bearing-bad: decisive}
    reasons: {loose: {bore-worn: strong}}
    answers:
      clean: {says: clean, rules-out: {bearing-bad: decisive}}
      rust: {shows: {bearing-bad: weak}}
"""


def packs(folder: Path, modes: str = MODES, user: str = USER) -> list[Path]:
    head = 'version: "1.0"\ntitle: A pack\n'
    for name, more, text in (("shared", "", modes), ("using", "uses: [shared]\n", user)):
        (folder / name).mkdir(parents=True)
        (folder / name / "pack.yaml").write_text(f"pack: {name}\n{head}{more}")
        (folder / name / "words.yaml").write_text(text)
    return [folder / "using"]


def problems(folder: Path, modes: str = MODES, user: str = USER) -> list[str]:
    book, faults = read_packs(packs(folder, modes, user))
    return [p.message for p in (*faults, *check_book(book)) if p.check in ("mode", "ids", "form")]


def test_each_mode_of_the_list_is_an_answer(tmp_path: Path) -> None:
    check = load_book(packs(tmp_path)).checks["tracks"]
    assert list(check.answers) == ["clean", "fretting", "rust"]
    fretting = {str(c): s.word for c, s in check.answers["fretting"].shows.items()}  # type: ignore[index]
    assert fretting == {"bearing-bad": "decisive", "bore-worn": "strong"}


def test_offers_narrows_the_list_to_what_is_named_and_declared(tmp_path: Path) -> None:
    user = USER.replace("modes: ring", "modes: ring\n    offers: [fretting]")
    modes = MODES.replace("  other:", "  worn: {of: ring, title: w, source: common-practice, "
        "looks: Dull., points-to: [loose]}\n  other:")  # fmt: skip
    assert "worn" in load_book(packs(tmp_path / "all", modes)).checks["tracks"].answers
    few = load_book(packs(tmp_path / "few", modes, user)).checks["tracks"]
    assert list(few.answers) == ["clean", "fretting", "rust"]


def test_a_case_may_give_the_old_word_of_an_answer(tmp_path: Path) -> None:
    user = USER.replace("rust: {shows", "rust: {said: [rusty], shows")
    folder = packs(tmp_path, user=user)
    cases = "cases:\n" + "".join(
        f"  - {{name: {word}, given: {{tracks: {word}}}, expect: {{}}, why: it rusted}}\n"
        for word in ("rusty", "rust", "rosty")
    )
    (folder[0] / "words.cases.yaml").write_text(cases)
    book, faults = read_packs(folder)
    assert not faults
    told = [p.message for p in check_book(book) if p.check == "answer"]
    assert len(told) == 1
    assert told[0].startswith("'rosty' is no answer to 'tracks'")
    assert understand(book, book.checks["tracks"], "rusty").settled == "rust"


def test_a_declared_answer_stands_and_only_gets_its_words(tmp_path: Path) -> None:
    rust = load_book(packs(tmp_path)).checks["tracks"].answers["rust"]  # type: ignore[index]
    assert {str(c): s.word for c, s in rust.shows.items()} == {"bearing-bad": "weak"}
    assert rust.says == "moisture corrosion: Rust spots on the track."


def test_a_mode_is_chosen_by_name_clause_and_look(tmp_path: Path) -> None:
    fretting = load_book(packs(tmp_path)).checks["tracks"].answers["fretting"]  # type: ignore[index]
    assert fretting.says == "fretting corrosion (5.3.3.2): Red powder on the seat."


def test_reasoning_goes_on_from_a_mode(tmp_path: Path) -> None:
    book = load_book(packs(tmp_path))
    weighed = weigh(book, [understand(book, book.checks["tracks"], "fretting")])
    assert {fact.condition for fact in weighed.claims} == {"bearing-bad"}
    assert weighed.factors["bore-worn"] == (0.9, 0.1)


def test_a_mode_of_another_list_is_no_answer(tmp_path: Path) -> None:
    book = load_book(packs(tmp_path))
    with pytest.raises(AnswerError, match="'other' is not one of"):
        understand(book, book.checks["tracks"], "other")


def test_a_sound_pack_has_no_problem(tmp_path: Path) -> None:
    assert problems(tmp_path) == []


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("modes: ring", "modes: rang", "there is no list of modes 'rang'"),
        ("    modes: ring\n", "", "'reasons', 'any-mode' and 'offers' need 'modes'"),
        ("modes: ring", "modes: ring\n    offers: [fretting, other]", "'other' is not a mode of"),
        ("modes: ring", "modes: ring\n    offers: [frettin]", "there is no mode 'frettin'"),
        ("modes: ring", "modes: ring\n    offers: [rust]", "no mode offered points to 'loose'"),
        ("{loose: {bore-worn", "{lose: {bore-worn", "there is no reason 'lose'"),
    ],
)
def test_faults_of_a_check_with_modes(old: str, new: str, told: str, tmp_path: Path) -> None:
    assert any(told in text for text in problems(tmp_path, user=USER.replace(old, new)))


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ("{rust: ", "{other: ", "'other' is not another mode of list 'ring'"),
        ("{rust: ", "{rost: ", "there is no mode 'rost'"),
        ("points-to: [water]", "points-to: []", "mode 'rust' points to no reason"),
        ("points-to: [water]", "points-to: [loose]", "no mode points to reason 'water'"),
        ("Rust spots", "Renew it, rust spots", "belongs in a correction"),
    ],
)
def test_faults_of_a_mode(old: str, new: str, told: str, tmp_path: Path) -> None:
    assert any(told in text for text in problems(tmp_path, modes=MODES.replace(old, new)))


def test_a_reason_that_no_mode_of_the_list_has(tmp_path: Path) -> None:
    gone = "looks: A tooth is gone.\n    points-to: [loose"
    modes = MODES.replace(gone, f"{gone}, blow")
    modes = modes.replace("reasons:\n", "reasons:\n  blow: {title: a blow}\n")
    user = USER.replace("{loose: {bore-worn", "{blow: {bore-worn")
    assert any(
        "no mode of list 'ring' points to 'blow'" in t for t in problems(tmp_path, modes, user)
    )


def test_a_transfer_case_unit_meets_nothing_of_the_axle(book: Book, vehicle: Book) -> None:
    alone = for_family(book, book.family)
    among = for_family(vehicle, book.family)
    for kind in ("conditions", "checks", "chains", "parts", "removals", "attributes"):
        assert list(among.table(kind)) == list(alone.table(kind))
    assert list(among.links) == list(alone.links)


def test_an_axle_meets_nothing_of_the_transfer_case(axle: Book, vehicle: Book) -> None:
    alone = for_family(axle, axle.family)
    among = for_family(vehicle, axle.family)
    assert list(among.conditions) == list(alone.conditions)
    assert list(among.checks) == list(alone.checks)
    assert list(among.links) == list(alone.links)


def test_a_case_that_does_not_say_is_a_transfer_case(vehicle: Book) -> None:
    case = parse_case("case: old\nunit: {family: {drive: gear}}\n", "old.yaml")
    assumed = {
        "unit": "transfer-case",
        "vacuum": "none",
        "centre": "none",
        "front-output-setting": "float",
        "idler-setting": "float",
        "range-synchroniser": "none",
        "clutch-work": "unstated",
    }
    assert family_of(vehicle, case) == assumed | {"drive": "gear"}
    said = parse_case("case: axle\nunit: {family: {unit: drive-axle}}\n", "axle.yaml")
    plain = {"hub-reduction": "none", "axle-speed-ring": "none"}
    assert family_of(vehicle, said) == plain | {"unit": "drive-axle"}


def test_what_is_assumed_must_be_a_value(tmp_path: Path) -> None:
    folder = packs(tmp_path)[0]
    head = folder / "pack.yaml"
    wrong = "attributes: {unit: {ask: Which?, assume: cart, values: {car: a car}}}\n"
    head.write_text(head.read_text() + wrong)
    found = [p.message for p in check_book(read_packs([folder])[0]) if p.check == "assume"]
    assert found == ["'unit' cannot be 'cart'; did you mean 'car'?"]


def test_bench_asks_a_new_transfer_case_nothing_about_axles(tmp_path: Path) -> None:
    answers = ["" for _ in range(30)]
    asked = StringIO()
    typed = StringIO("\n".join(answers) + "\nquit\n")
    run(["bench", str(tmp_path / "new.yaml")], Terminal(asked, StringIO(), typed, width=80))
    assert "Does the case have a low range?" in asked.getvalue()
    assert "What carries the wheel?" not in asked.getvalue()
