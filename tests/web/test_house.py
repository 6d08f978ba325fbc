"""The house: cases listed and opened as they stand, whoever wrote them; its pages, their words."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from headwater import outputs
from headwater.case.read import CaseError, read_case
from headwater.caseshelf import FolderShelf, open_shelf
from headwater.render.site import link_of, name_in, site_page
from headwater.session.session import open_session
from headwater.view.labels import LABELS
from headwater.web.casefile import PAPERS
from headwater.web.routes import PAGES
from web.conftest import ROOT, Standing

SITE = ROOT / "src/headwater/render/templates/site"
TEMPLATES = sorted(SITE.glob("*.html"))
EVIL = "<script>alert(1)</script>"


def test_the_cases_of_a_folder_are_listed_the_last_changed_first(standing: Standing) -> None:
    (standing.folder / "later.yaml").write_text(f"case: later\ncomplaint: {EVIL}\n")
    (standing.folder / "prices.yaml").write_text("prices: {}\n")
    (standing.folder / "torn.yaml").write_text("case: [\n")
    shown = standing.inside().get("/cases").text
    assert shown.index("/case/later") < shown.index("/case/ridge-07")
    assert "2 cases" in shown
    assert EVIL not in shown
    assert "&lt;script&gt;" in shown


def test_cases_are_found_by_words(standing: Standing) -> None:
    client = standing.inside()
    assert "/case/ridge-07" in client.get("/cases?words=LOW whines").text
    assert LABELS.none_found in client.get("/cases?words=whines nowhere").text
    assert EVIL not in client.get(f"/cases?words={EVIL}").text


def test_a_case_shows_its_verdict_as_every_output_does(standing: Standing) -> None:
    shown = standing.inside().get("/case/ridge-07").text
    session = open_session(standing.house.book, read_case(standing.folder / "ridge-07.yaml"))
    for section in outputs.paper("summary", session).sections:
        assert section.heading.replace("'", "&#39;") in shown


def test_what_a_terminal_writes_in_between_is_seen(standing: Standing) -> None:
    client = standing.inside()
    assert "Settled" in client.get("/case/ridge-07").text
    path = standing.folder / "ridge-07.yaml"
    path.write_text("".join(path.read_text().splitlines(keepends=True)[:-1]))
    assert "Settled" not in client.get("/case/ridge-07").text


def test_an_answer_is_on_disk_and_the_session_stays(standing: Standing) -> None:
    with standing.house.reading("ridge-07") as read:
        count = len(read.findings)
    with standing.house.writing("ridge-07") as written:
        assert written is read
        written.answer("input-bearing-float", "0.046 in")
    assert written.writer is None
    assert len(read_case(standing.folder / "ridge-07.yaml").findings) == count + 1
    with standing.house.reading("ridge-07") as after:
        assert after is written


def test_a_fault_in_mid_answer_leaves_no_half_session(standing: Standing) -> None:
    class StoppedError(Exception):
        pass

    with pytest.raises(StoppedError), standing.house.writing("ridge-07") as broken:
        raise StoppedError
    with standing.house.reading("ridge-07") as after:
        assert after is not broken


def test_a_case_that_is_open_elsewhere_is_said_in_one_line(standing: Standing) -> None:
    elsewhere = standing.house.shelf.place("ridge-07").open(lambda _: None)
    with elsewhere, pytest.raises(CaseError, match="open in another session"):
        standing.house.writing("ridge-07").__enter__()


@pytest.mark.parametrize(
    "name", ["..%2fsecret", "%2e%2e%2fsecret", "~1etc~1passwd", "~2./secret", "secret", "%00"]
)
def test_no_name_leads_out_of_the_folder(standing: Standing, name: str) -> None:
    (standing.folder.parent / "secret.yaml").write_text("case: secret\ncomplaint: undisclosed\n")
    (standing.folder / "secret.yaml").symlink_to(standing.folder.parent / "secret.yaml")
    reply = standing.inside().get(f"/case/{name}")
    assert reply.status_code in (404, 409)
    assert "undisclosed" not in reply.text


@pytest.mark.parametrize("name", ["", ".x", "a/b", "../x", "ridge-07", "a\x00", "a\nb"])
def test_no_new_case_is_made_elsewhere_or_over_another(standing: Standing, name: str) -> None:
    with pytest.raises(CaseError):
        standing.house.shelf.new_place(name)


def test_a_shelf_needs_a_folder(tmp_path: Path) -> None:
    with pytest.raises(CaseError, match="no such folder"):
        open_shelf(tmp_path / "none", None)
    assert isinstance(open_shelf(tmp_path, None), FolderShelf)


@pytest.mark.parametrize("name", ["a", "a/b", "..", "~", "~1", "a b", "ä", ".~2/"])
def test_a_name_goes_into_an_address_and_back(name: str) -> None:
    from urllib.parse import unquote

    assert "/" not in link_of(name)
    assert not link_of(name).startswith(".")
    assert name_in(unquote(link_of(name))) == name


def test_a_fault_of_the_program_shows_no_trace(
    standing: Standing, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError("secret detail")

    monkeypatch.setattr("headwater.caseshelf.FolderShelf.cases", broken)
    reply = standing.inside().get("/cases")
    assert reply.status_code == 500
    assert "secret" not in reply.text
    assert "Traceback" not in reply.text
    assert [type(fault) for fault in standing.faults] == [ZeroDivisionError]
    standing.faults.clear()


def test_a_template_is_given_no_session(standing: Standing) -> None:
    with standing.house.reading("ridge-07") as session:
        for value in (session, (session,), {"x": session}, session.verdict, session.book):
            with pytest.raises(TypeError, match="no output"):
                site_page("problem.html", {"name": value})


def _words_of(template: str) -> str:
    """Return what a template says by itself: no marks, no comments, no tags, no macros."""
    bare = re.sub(r"\{[#%{].*?[#%}]\}|<!DOCTYPE html>", " ", template, flags=re.DOTALL)
    said = re.findall(r'(?:alt|title|placeholder|aria-label)="([^"]+)"', bare)
    return " ".join([*said, re.sub(r"<[^>]*>", " ", bare, flags=re.DOTALL)])


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_a_template_has_no_words_of_its_own(path: Path) -> None:
    assert re.findall(r"[A-Za-z]{2,}", _words_of(path.read_text())) == []


def test_every_label_is_used_and_there() -> None:
    source = "".join(path.read_text() for path in TEMPLATES)
    named = set(re.findall(r"\bsay\.(\w+)", source)) | {page.nav for page in PAGES if page.nav}
    handlers = (ROOT / "src/headwater/web").glob("*.py")
    named |= {word for path in handlers for word in re.findall(r'"(\w+)"', path.read_text())}
    begun = set(re.findall(r'say\["(\w+_)', source))
    labels = vars(LABELS)
    assert set(re.findall(r"\bsay\.(\w+)", source)) | set(PAPERS.values()) <= set(labels)
    assert [n for n in labels if n not in named and not n.startswith(tuple(begun))] == []


BUDGETS = {"src/headwater/web/*.py": 1800, "*.html": 1200, "*.css": 600, "*.js": 300}


@pytest.mark.parametrize("kind", BUDGETS)
def test_the_room_stays_within_its_means(kind: str) -> None:
    files = list(ROOT.glob(kind)) if "/" in kind else list(SITE.glob(kind))
    assert files
    assert sum(len(path.read_text().splitlines()) for path in files) <= BUDGETS[kind]
