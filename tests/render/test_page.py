"""The page: valid, self-contained, readable without colour, and closed to what a case may hold."""

from __future__ import annotations

import base64
import hashlib
import html
import re
import xml.etree.ElementTree as ET
from html.parser import HTMLParser
from itertools import pairwise

import pytest
from draws import draws
from hypothesis import HealthCheck, given, settings
from markupsafe import escape
from render.conftest import CASES, ON, Judge
from render.hostile import HOSTILE, hostile_replay
from sessions import as_session
from strategies import Situation, held_back, situations

from headwater.render.clean import clean
from headwater.render.markdown import markdown_report, markdown_text
from headwater.render.pages import page, style_sheet
from headwater.render.svg import svg_file
from headwater.render.treetext import tree_text
from headwater.session.session import Session
from headwater.verdict.assess import build_reasoner
from headwater.view.options import Pricing
from headwater.view.owner import owner_paper
from headwater.view.paper import Entries, Entry, Grid, Paper, Words, cell, say
from headwater.view.shop import Reporting, shop_paper
from headwater.view.tree import Wording, case_trees

MAKERS = {"shop": shop_paper, "customer": owner_paper}
VOID = {"meta", "br", "img", "link", "hr", "input"}
OURS = {
    "html", "head", "meta", "title", "style", "body", "main", "section", "h1", "h2", "h3", "p",
    "span", "strong", "ul", "ol", "li", "dl", "div", "dt", "dd", "table", "thead", "tbody", "tr",
    "th", "td", "figure", "footer", "svg", "defs", "pattern", "rect", "circle", "path", "text",
    "figcaption", "img",
}  # fmt: skip
ATTRIBUTES = {
    "lang", "charset", "http-equiv", "content", "name", "class", "scope", "data-head", "xmlns",
    "viewbox", "width", "height", "role", "aria-labelledby", "font-family", "id", "patternunits",
    "patterntransform", "fill", "x", "y", "d", "stroke", "stroke-width", "stroke-dasharray", "cx",
    "cy", "r", "font-size", "font-weight", "src", "alt",
}  # fmt: skip


PICTURE = re.compile(r"data:image/jpeg;base64,[A-Za-z0-9+/]+=*")
"""The one thing that a page may show of another: a photograph that stands in the page itself."""


class Reader(HTMLParser):
    """Walks a page and keeps its tags, checking that each is closed in its turn."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.tags: list[str] = []
        self.attributes: list[tuple[str, str]] = []
        self.odd: list[str] = []
        self.texts: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        self.attributes += [(name, value or "") for name, value in attrs]
        if tag not in VOID and not self.get_starttag_text().endswith("/>"):  # type: ignore[union-attr]
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handle_starttag(tag, attrs)

    def handle_endtag(self, tag: str) -> None:
        if not self.open or self.open.pop() != tag:
            self.odd.append(tag)

    def handle_comment(self, data: str) -> None:
        if data != " Headwater report ":
            self.odd.append(data)

    def handle_pi(self, data: str) -> None:
        self.odd.append(data)

    def unknown_decl(self, data: str) -> None:
        self.odd.append(data)

    def handle_data(self, data: str) -> None:
        self.texts.append(data)


def faults(text: str) -> list[str]:
    """Return what is wrong with a page."""
    read = Reader(text)
    found = [f"odd {tag}" for tag in read.odd] + [f"open {tag}" for tag in read.open]
    found += [f"tag {tag}" for tag in read.tags if tag not in OURS]
    found += [f"attribute {n}" for n, _ in read.attributes if n not in ATTRIBUTES]
    found += ["not one h1"] if read.tags.count("h1") != 1 else []
    found += [] if ("lang", "en") in read.attributes else ["no language"]
    levels = [int(tag[1]) for tag in read.tags if tag in ("h1", "h2", "h3")]
    found += [f"h{a} then h{b}" for a, b in pairwise(levels) if b > a + 1]
    ids = [value for name, value in read.attributes if name == "id"]
    found += ["an id twice"] if len(ids) != len(set(ids)) else []
    labels = [value for name, value in read.attributes if name == "aria-labelledby"]
    found += [f"label {label}" for label in labels if label not in ids]
    for name, value in read.attributes:
        if name == "src" and PICTURE.fullmatch(value):
            continue
        outside = "//" in value and (name, value) != ("xmlns", "http://www.w3.org/2000/svg")
        told = name in ("data-head", "alt")  # texts of a table and of a picture
        if name in ("src", "href", "action", "srcset") or (outside and not told):
            found.append(f"outside {name}={value}")
    return found


@pytest.mark.parametrize("reader", MAKERS)
@pytest.mark.parametrize("name", CASES)
def test_pages_are_valid(name: str, reader: str, judge: Judge) -> None:
    assert faults(page(MAKERS[reader](Reporting(judge(name), ON)))) == []


def test_the_judge_of_pages_sees_faults() -> None:
    good = page(shop_paper(Reporting(hostile_replay(), ON)))
    broken = {
        "open": good.replace("</section>", "", 1),
        "tag script": good.replace("<main>", "<main><script></script>"),
        "attribute onload": good.replace("<main>", "<main onload='x'>"),
        "outside src=data:text": good.replace("<main>", "<main><img src='data:text/html,x'>"),
        "outside src": good.replace("<main>", "<main><img src='http://a.example'>"),
        "h1 then h3": good.replace("<section>", "<h3>x</h3><section>", 1),
        "no language": good.replace(' lang="en"', ""),
    }
    for fault, text in broken.items():
        assert any(found.startswith(fault) for found in faults(text)), fault


@pytest.mark.parametrize("reader", MAKERS)
def test_a_photograph_stands_in_the_page_itself(reader: str) -> None:
    """Its caption, its name and what it shows are hostile."""
    session = hostile_replay()
    (name,) = session.case.pictures
    text = page(MAKERS[reader](Reporting(session, ON, pictures={name: b"\xff\xd8\xff"})))
    assert faults(text) == []
    assert text.count('<img src="data:image/jpeg;base64,/9j/" alt="') == 1
    assert page(MAKERS[reader](Reporting(session, ON))).count("<img") == 0


@pytest.mark.parametrize("reader", MAKERS)
def test_a_hostile_case_adds_nothing_to_a_page(reader: str) -> None:
    text = page(MAKERS[reader](Reporting(hostile_replay(), ON)))
    assert faults(text) == []
    assert "<script" not in text.lower()
    shown = " ".join(Reader(text).texts)
    assert "<script>alert(1)</script>" in shown, "it is shown as text"
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f\x85\u202e\u2066\ufffe\ud800-\udfff]", text)


@pytest.mark.parametrize("text", HOSTILE)
def test_text_survives_as_text(text: str) -> None:
    table = Grid((text,), ((cell("x"),),))
    read = Reader(page(Paper(text, (say(text), table), (), foot=text)))
    assert read.texts.count(clean(text)) == 5, "title, heading, paragraph, head of the table, foot"
    assert dict(read.attributes)["data-head"] == clean(text)


def test_a_page_forbids_scripts_and_fetching(judge: Judge) -> None:
    text = page(shop_paper(Reporting(judge("settled"), ON)))
    policy = dict(Reader(text).attributes)
    assert "default-src 'none'; style-src 'sha256-" in text
    assert policy["lang"] == "en"
    assert not re.search(r"@import|url\(|expression|javascript:", style_sheet())


def test_drawings_of_a_hostile_case_are_sound_xml() -> None:
    found = hostile_replay()
    for tree in case_trees(found.verdict, Wording(found.verdict.book)):
        root = ET.fromstring(svg_file(tree, "foot <b>&").encode())
        names = {element.tag.rpartition("}")[2] for element in root.iter()}
        assert names <= OURS
        attributes = {key for element in root.iter() for key in element.attrib}
        assert {a.lower() for a in attributes} <= ATTRIBUTES


# --- colour -----------------------------------------------------------------------------------


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio of two colours written '#rrggbb'.

    WCAG 2.1, 'contrast ratio' and 'relative luminance'; the text of the formula is from memory.
    """
    light, dark = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def _luminance(colour: str) -> float:
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    red, green, blue = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def rules(css: str) -> list[tuple[str, dict[str, str]]]:
    """Return the rules of a style sheet, the variables of its `:root` put in."""
    found = []
    for selector, body in re.findall(r"([^{}]+)\{([^{}]*)\}", css):
        pairs = (item.split(":", 1) for item in body.split(";") if ":" in item)
        found.append((selector.strip(), {key.strip(): value.strip() for key, value in pairs}))
    known = dict(found)[":root"]
    return [(s, {k: known.get(v[4:-1], v) for k, v in declared.items()}) for s, declared in found]


def test_every_colour_of_the_page_stands_out_from_its_ground() -> None:
    coloured = [(s, d) for s, d in rules(style_sheet()) if "color" in d]
    assert len(coloured) > 5
    for selector, declared in coloured:
        assert "background" in declared, f"{selector} sets a colour without its ground"
        assert contrast(declared["color"], declared["background"]) >= 4.5, selector


def test_contrast_against_published_values() -> None:
    """WCAG 2.1: black on white is 21:1; #777777 on white is known to miss 4.5:1 (from memory)."""
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#777777", "#ffffff") == pytest.approx(4.48, abs=0.005)


def test_the_policy_lets_in_the_style_sheet_and_no_other(judge: Judge) -> None:
    text = page(shop_paper(Reporting(judge("settled"), ON)))
    style = re.search(r"<style>(.*?)</style>", text, re.DOTALL)
    assert style
    digest = base64.b64encode(hashlib.sha256(style[1].encode()).digest()).decode()
    policy = f"default-src 'none'; style-src 'sha256-{digest}'; img-src data:"
    assert f'content="{policy}"' in text, "pictures stand in the page itself, and nothing else does"


def test_a_printed_page_keeps_its_tables() -> None:
    """What is made for a small screen stands apart: a sheet of paper is narrow as well."""
    assert re.findall(r"@media ([^{]*)\{", style_sheet()) == [
        "screen and (max-width: 44rem) ", "print ",
    ]  # fmt: skip


def test_every_text_of_a_drawing_is_readable_on_what_lies_under_it(judge: Judge) -> None:
    checked = 0
    for name in ("settled", "open", "probable"):
        found = judge(name)
        for tree in case_trees(found.verdict, Wording(found.verdict.book)):
            root = ET.fromstring(svg_file(tree).encode())
            grounds: list[ET.Element] = []
            for element in root:
                kind = element.tag.rpartition("}")[2]
                if kind == "rect" and element.attrib["fill"].startswith("#"):
                    grounds.append(element)
                if kind == "text":
                    under = [g for g in grounds if _covers(g, element)][-1]
                    assert contrast(element.attrib["fill"], under.attrib["fill"]) >= 4.5
                    checked += 1
    assert checked > 30


def _covers(rect: ET.Element, text: ET.Element) -> bool:
    x, y = float(text.attrib["x"]), float(text.attrib["y"])
    left, top = float(rect.attrib.get("x", 0)), float(rect.attrib.get("y", 0))
    wide, tall = float(rect.attrib["width"]), float(rect.attrib["height"])
    return left <= x <= left + wide and top <= y <= top + tall


def test_without_colour_every_mark_is_still_told(judge: Judge) -> None:
    """Each node's words stand in the drawing, and held parts say so."""
    for name in CASES:
        found = judge(name)
        for tree in case_trees(found.verdict, Wording(found.verdict.book)):
            drawn = " ".join(ET.fromstring(svg_file(tree).encode()).itertext())
            plain = " ".join(drawn.split())
            for node in tree.root.walk():
                for words in (node.text, node.mark, *(tag.text for tag in node.tags)):
                    assert words in plain
            held = sum(tag.held for node in tree.root.walk() for tag in node.tags)
            assert ("HELD" in plain) == (held > 0)
            in_legend = min(held, 1)
            assert svg_file(tree).count("-bars)") == held + in_legend, "held parts are barred too"


# --- the gate ---------------------------------------------------------------------------------


def outputs(found: Session) -> list[str]:
    papers = [shop_paper(Reporting(found, ON)), owner_paper(Reporting(found, ON))]
    texts = [form(paper) for paper in papers for form in (page, markdown_report)]
    for plain in (False, True):
        for tree in case_trees(found.verdict, Wording(found.verdict.book, plain)):
            texts += [svg_file(tree), tree_text(tree)]
    return texts


@settings(max_examples=draws(60), deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(situations())
def test_no_report_names_a_remedy_for_a_held_part(case: Situation) -> None:
    assessment = build_reasoner(case.book, {}).assess(case.findings, case.stand)
    found = as_session(assessment)
    texts = outputs(found)
    for remedy in held_back(assessment):
        forms = {remedy, html.escape(remedy), html.escape(remedy, False), markdown_text(remedy)}
        forms.add(str(escape(remedy)))
        assert not any(form in text for text in texts for form in forms)
    for tree in case_trees(assessment, Wording(assessment.book)):
        for node in tree.root.walk():
            for tag in node.tags:
                part = tag.text.split(": ")[1].split(",")[0]
                held = {assessment.book.parts[p].title for p in assessment.held}
                assert tag.held == (part in held)


def test_a_released_part_does_show_its_remedy(judge: Judge) -> None:
    assert all("Fit a new seal." in text for text in outputs(judge("settled"))[:4])
    assert not any("Fit a new seal." in text for text in outputs(judge("open")))


def test_priced_ways_stand_before_what_was_not_checked(judge: Judge) -> None:
    found = judge("settled")
    for make in MAKERS.values():
        text = page(make(Reporting(found, ON, Pricing(found))))
        heads = re.findall(r"<h2>(.*?)</h2>", text)
        assert 0 < heads.index("Ways to put it right") < len(heads) - 1


def test_a_list_that_goes_on_is_numbered_on_in_page_and_markdown() -> None:
    entries = tuple(Entry((Words(text),), ("[ ] seen",)) for text in ("one", "two"))
    told = Paper("P", (Entries(entries, numbered=True, first=4),), ())
    assert '<ol start="4">' in page(told)
    assert '<li class="box">seen</li>' in page(told)
    written = markdown_report(told)
    assert "4. one" in written
    assert "5. two" in written
