"""Packs read from disk: what is merged, what is laid over what, what is narrowed to a family."""

from __future__ import annotations

from pathlib import Path

import pytest
from draws import draws
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from small_book import CHAIN, FILES, change, write_book

from headwater.author.diff import book_changes
from headwater.book.check import check_book
from headwater.book.load import load_book
from headwater.book.problem import BookError, nearest
from headwater.book.records import Book, applies, for_family

UNSEEN = "    unobservable"
ENDS = ("bore-worn", "gear-displaced")


@pytest.fixture
def small(tmp_path: Path) -> Path:
    return write_book(tmp_path / "small")


def pack(folder: Path, name: str, extra: str = "", **files: str) -> Path:
    """Write another pack."""
    folder.mkdir()
    head = f'pack: {name}\nversion: "2"\ntitle: {name}\n{extra}'
    (folder / "pack.yaml").write_text(head)
    for file, text in files.items():
        (folder / f"{file.replace('_', '-')}.yaml").write_text(text)
    return folder


def refusal(*folders: Path) -> str:
    """Return the one line with which the packs are refused."""
    with pytest.raises(BookError) as caught:
        load_book(folders)
    return str(caught.value)


def test_the_small_book_is_whole(small: Path) -> None:
    book = load_book([small], samples=True)
    assert (book.name, book.version, book.family) == ("small", "1.0", {"drive": "chain"})
    assert set(book.origins) == {"bore-worn"}
    assert set(book.links) == {ENDS, ("gear-displaced", "pads-burnt")}
    assert book.links[ENDS].often.p == 0.98
    assert len(book.samples["bore-burns-pads"]) == 2
    assert load_book([small]).samples == {}


def test_digest_follows_the_text_but_not_the_samples(small: Path) -> None:
    before = load_book([small]).digest
    assert load_book([small]).digest == before
    change(small, "bore-burns-pads.cases.yaml", "why: the end", "why: now the end")
    assert load_book([small]).digest == before
    change(small, "checks.yaml", "How large is", "How big is")
    assert load_book([small]).digest != before


def test_a_link_told_once_serves_another_chain(small: Path) -> None:
    other = CHAIN.replace("bore-burns-pads", "again").replace(
        "- gear-displaced: {how: the gear presses on the fork, often: usually}", "- gear-displaced"
    )
    (small / "again.yaml").write_text(other)
    book = load_book([small])
    assert len(book.links) == 2
    assert book.links["gear-displaced", "pads-burnt"].how == "the gear presses on the fork"


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("often: usually", "often: rarely", "is told differently at"),
        ("often: usually}", "often: usually, when: {drive: [gear]}}", "is told differently at"),
        (", often: usually", "", "a link needs both 'how' and 'often'"),
        ("how: the gear presses on the fork, ", "", "a link needs both 'how' and 'often'"),
    ],
)
def test_a_link_told_differently_names_both_places(
    small: Path, old: str, new: str, says: str
) -> None:
    text = CHAIN.replace("chain: bore-burns-pads", "chain: zz").replace(old, new)
    (small / "zz.yaml").write_text(text)
    line = refusal(small)
    assert line.startswith(f"{small}/zz.yaml:5:5: ")
    assert says in line
    if "told differently" in says:
        assert "bore-burns-pads.yaml:5:21" in line


def test_a_link_told_nowhere_is_named(small: Path) -> None:
    change(small, "bore-burns-pads.yaml", ": {how: the bearing floats back, often: always}", "")
    line = refusal(small)
    assert "bore-burns-pads.yaml:6:5: link bore-worn -> gear-displaced has no 'how'" in line


def test_a_later_pack_replaces_by_id_and_it_is_said(small: Path, tmp_path: Path) -> None:
    limits = (
        "limits:\n  float:\n    title: ours\n    dimension: length\n    unit: mm\n"
        "    source: common-practice\n"
        "    bands: [{name: in-limits, upto: 0.3 mm}, {name: past-limit}]\n"
    )
    shop = pack(tmp_path / "shop", "shop", limits=limits)
    book = load_book([small, shop])
    assert book.limits["float"].title == "ours"
    (override,) = book.overrides
    assert (override.kind, override.id, override.pack) == ("limits", "float", "shop")
    assert override.place.file == str(shop / "limits.yaml")
    assert override.instead_of.file == str(small / "words.yaml")
    assert book.name == "small + shop"
    assert load_book([shop, small]).limits["float"].title == "bearing float"


@pytest.mark.parametrize("chain_id", ["bore-burns-pads", "shop-chain"])
def test_a_later_pack_tells_a_link_its_own_way(small: Path, tmp_path: Path, chain_id: str) -> None:
    # Another chain of the first pack tells the link too, and comes later in that pack.
    (small / "zz.yaml").write_text(CHAIN.replace("chain: bore-burns-pads", "chain: zz"))
    text = CHAIN.replace("chain: bore-burns-pads", f"chain: {chain_id}")
    text = text.replace("often: usually", "often: rarely")
    shop = pack(tmp_path / "shop", "shop", **{chain_id.replace("-", "_"): text})
    book = load_book([small, shop])
    assert book.links["gear-displaced", "pads-burnt"].often.word == "rarely"
    assert "gear-displaced -> pads-burnt" in {o.id for o in book.overrides if o.kind == "links"}


def test_a_pack_takes_out_a_chain_of_another(small: Path, tmp_path: Path) -> None:
    shop = pack(tmp_path / "shop", "shop", "retired: {bore-burns-pads: not seen here}\n")
    book = load_book([small, shop], samples=True)
    assert (book.chains, book.links, book.samples) == ({}, {}, {})
    assert book.retired == {"bore-burns-pads": "not seen here"}


def test_a_pack_cannot_take_out_a_chain_that_is_not_there(small: Path, tmp_path: Path) -> None:
    shop = pack(tmp_path / "shop", "shop", "retired: {bore-burns-pad: misspelt}\n")
    line = refusal(small, shop)
    assert (
        "no pack before has chain 'bore-burns-pad' to retire; did you mean 'bore-burns-pads'?"
        in line
    )


def test_packs_that_a_pack_builds_on_come_first_and_once(small: Path, tmp_path: Path) -> None:
    shop = pack(tmp_path / "shop", "shop", "uses: [small]\n")
    assert load_book([shop]).name == "small + shop"
    assert load_book([shop, small]).name == "small + shop"
    assert load_book([small, tmp_path / "shop" / ".." / "small"]).name == "small"


def test_packs_that_use_each_other_are_read_once(tmp_path: Path) -> None:
    pack(tmp_path / "a", "a", "uses: [b]\n")
    pack(tmp_path / "b", "b", "uses: [a]\n")
    assert sorted(p.pack for p in load_book([tmp_path / "a"]).packs) == ["a", "b"]


def test_a_pack_that_is_used_must_be_there(tmp_path: Path) -> None:
    shop = pack(tmp_path / "shop", "shop", "uses: [none]\n")
    assert f"uses 'none', but {tmp_path / 'none'} holds no pack" in refusal(shop)


def test_a_folder_without_head_says_what_a_pack_is(tmp_path: Path) -> None:
    line = refusal(tmp_path)
    assert line == f"{tmp_path}: holds no pack.yaml; a pack is a folder with a pack.yaml in it"


def test_an_id_that_does_not_resolve_is_refused_before_any_verdict(small: Path) -> None:
    change(small, "checks.yaml", "shows: {pads-burnt:", "shows: {pads-bunt:")
    line = refusal(small)
    assert line == (
        f"{small}/checks.yaml:11:36: there is no condition 'pads-bunt'; did you mean 'pads-burnt'?"
    )


def test_an_old_id_in_the_book_brings_the_new_one(small: Path) -> None:
    change(small, "conditions.yaml", UNSEEN, f"    replaces: [gear-back]\n{UNSEEN}")
    change(small, "bore-burns-pads.yaml", "- gear-displaced:", "- gear-back:")
    line = refusal(small)
    assert "there is no condition 'gear-back'; it is called 'gear-displaced' now" in line


def test_removals_in_a_circle_are_refused(small: Path) -> None:
    change(small, "words.yaml", "cover off, minutes: 10", "cover off, minutes: 10, after: [half]")
    assert "words.yaml:9:3: removal 'cover' must come before itself" in refusal(small)


def test_all_faults_of_all_files_are_kept(small: Path) -> None:
    change(small, "words.yaml", "title: front bore", "titel: front bore")
    change(small, "checks.yaml", "minutes: 2", "minutes: two")
    (small / "broken.yaml").write_text("a: [\n")
    (small / "empty.yaml").write_text("")
    (small / "folder.yaml").mkdir()
    with pytest.raises(BookError) as caught:
        load_book([small])
    files = {Path(p.place.file).name for p in caught.value.problems}
    assert {"words.yaml", "checks.yaml", "broken.yaml", "empty.yaml", "folder.yaml"} <= files
    assert "more: run 'headwater book check')" in str(caught.value)
    assert len(str(caught.value).splitlines()) == 1


def test_the_same_id_twice_in_a_pack_names_both_places(small: Path) -> None:
    (small / "zz.yaml").write_text("parts:\n  fork: {title: another}\n")
    line = refusal(small)
    assert "zz.yaml:2:3: 'fork' is declared a second time (first at " in line
    assert "words.yaml:7:3)" in line


def test_ids_are_words_joined_by_hyphens(small: Path) -> None:
    (small / "zz.yaml").write_text("parts:\n  Rear_Fork: {title: another}\n")
    assert "zz.yaml:2:3: 'Rear_Fork' must be lower-case words joined by '-'" in refusal(small)


def test_nearest_says_nothing_where_nothing_is_near() -> None:
    assert nearest("xyz", ["front-bore"]) == ""


# A unit family ----------------------------------------------------------------------------------


def test_an_attribute_that_is_not_known_excludes_nothing() -> None:
    when = {"drive": ("chain",), "housing": ("iron", "magnesium")}
    assert applies(when, {})
    assert applies(when, {"drive": "chain"})
    assert not applies(when, {"drive": "gear", "housing": "iron"})
    assert not applies(when, {"drive": "chain", "housing": "aluminium"})


def narrowed(folder: Path, **family: str) -> Book:
    """Return the small book as it applies to a family."""
    return for_family(load_book([folder]), family)


def test_records_of_other_families_are_left_out(small: Path) -> None:
    change(small, "conditions.yaml", UNSEEN, f"    when: {{drive: [gear]}}\n{UNSEEN}")
    change(small, "checks.yaml", "    ask: How do", "    when: {drive: [gear]}\n    ask: How do")
    chain, gear = narrowed(small, drive="chain"), narrowed(small, drive="gear")
    assert "gear-displaced" not in chain.conditions
    assert (chain.links, chain.chains) == ({}, {})
    assert "pads" not in chain.checks
    assert "gear-displaced" in gear.conditions
    assert "pads" in gear.checks
    assert len(gear.links) == 2


def test_a_link_of_other_families_takes_its_chain_along(small: Path) -> None:
    change(small, "bore-burns-pads.yaml", "often: always}", "often: always, when: {drive: [gear]}}")
    assert ENDS not in narrowed(small, drive="chain").links
    assert narrowed(small, drive="chain").chains == {}
    assert "bore-burns-pads" in narrowed(small, drive="gear").chains


@pytest.mark.parametrize(
    ("family", "edge"),
    [({}, "0.5 mm"), ({"drive": "chain"}, "0.5 mm"), ({"drive": "gear"}, "0.8 mm")],
)
def test_limits_of_a_family_hold_only_where_it_is_known(
    small: Path, family: dict[str, str], edge: str
) -> None:
    limit = narrowed(small, **family).limits["float"]
    assert limit.bands[0].upto == edge
    assert limit.source == "common-practice"


def test_a_pack_about_other_units_drops_out_whole(small: Path, tmp_path: Path) -> None:
    shop = pack(
        tmp_path / "shop",
        "shop",
        "when: {drive: [gear]}\n",
        parts="parts:\n  idler: {title: idler}\n",
    )
    book = load_book([small, shop])
    assert "idler" in for_family(book, {"drive": "gear"}).parts
    assert "idler" not in for_family(book, {"drive": "chain"}).parts
    assert for_family(book, {"drive": "chain"}).name == "small"


# Anything at all --------------------------------------------------------------------------------

LINES = st.lists(
    st.sampled_from([line for text in FILES.values() for line in text.splitlines()])
    | st.text(st.sampled_from("ab:-[]{}#&*!|>'\" \t01."), max_size=20),
    max_size=25,
).map("\n".join)


@settings(
    max_examples=draws(60),
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(name=st.sampled_from(sorted(FILES)), text=LINES | st.binary(max_size=200))
def test_no_text_of_any_file_breaks_the_loader(
    tmp_path: Path, name: str, text: str | bytes
) -> None:
    folder = write_book(tmp_path / "small")
    (folder / name).write_bytes(text.encode() if isinstance(text, str) else text)
    try:
        book = load_book([folder], samples=True)
    except BookError as error:
        faults = [error]
    else:
        faults = []
        assert for_family(book, book.family).digest == book.digest
    for fault in faults:
        assert all(problem.message and problem.place.file for problem in fault.problems)
        assert len(str(fault).splitlines()) == 1


# Figures laid over --------------------------------------------------------------------------------

SEEN = """\
sources: {seen: {title: seen here}}
figures:
  bore-worn: {common: 0.031, source: seen}
  gear-displaced: {often: {bore-worn: 0.6}, source: seen}
"""


def test_a_shops_figures_are_laid_over_and_said(small: Path, tmp_path: Path) -> None:
    own = pack(tmp_path / "own", "own", figures=SEEN)
    book, before = load_book([small, own], samples=True), load_book([small])
    origin = book.conditions["bore-worn"].origin
    assert origin is not None
    assert (origin.common.p, str(origin.source)) == (0.031, "seen")
    assert book.links[ENDS].often.p == 0.6
    assert book.links[ENDS].how == before.links[ENDS].how
    assert {(o.kind, o.id, o.pack) for o in book.overrides} == {
        ("conditions", "bore-worn", "own"), ("links", "bore-worn -> gear-displaced", "own"),
    }  # fmt: skip
    assert [p.message for p in check_book(book) if p.severity != "note"] == []
    assert {(c.kind, c.id, c.text) for c in book_changes(before, book)} == {
        ("source", "seen", "is new"),
        ("condition", "bore-worn", "origin.common: was common, is now 0.031"),
        ("condition", "bore-worn", "origin.source: was 'None', is now 'seen'"),
        ("link", "bore-worn -> gear-displaced", "was always, is now 0.6"),
    }


def test_a_chain_of_a_later_pack_keeps_its_own_figures(small: Path, tmp_path: Path) -> None:
    own = pack(tmp_path / "own", "own", figures=SEEN)
    later = pack(tmp_path / "later", "later", chain=CHAIN.replace("always", "rarely"))
    assert load_book([small, own, later]).links[ENDS].often.word == "rarely"
    assert load_book([small, later, own]).links[ENDS].often.word == "0.6"


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("  bore-worn:", "  bore-wron:", "no condition is 'bore-wron'; did you mean 'bore-worn'?"),
        ("{bore-worn: 0.6}", "{pads-burnt: 0.6}", "no chain leads from 'pads-burnt' to"),
        ("{often: {bore-worn: 0.6}", "{common: rare", "'gear-displaced' is no origin"),
        ("0.6", "1.6", "write one of always, usually"),
    ],
)
def test_figures_of_nothing_are_refused(
    small: Path, tmp_path: Path, old: str, new: str, said: str
) -> None:
    assert SEEN.count(old) == 1
    own = pack(tmp_path / "own", "own", figures=SEEN.replace(old, new))
    assert said in refusal(small, own)
