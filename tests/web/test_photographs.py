"""Photographs: made upright, stripped, small; kept with the case; shown to who may see it."""

from __future__ import annotations

import io
import socket
import subprocess
from collections.abc import Iterator
from contextlib import suppress
from pathlib import Path
from typing import Any

import pytest
from PIL import Image

from headwater import outputs
from headwater.case.photograph import (
    LONGEST_SIDE,
    MOST_PIXELS,
    PICTURE_BYTES,
    PictureError,
    upright_jpeg,
)
from headwater.case.picture import name_of_picture
from headwater.case.read import read_case
from headwater.caseplace import FilePlace, LedgerPlace
from headwater.caseshelf import LedgerShelf
from headwater.cli.main import Terminal, run
from headwater.ledger.door import Ledger, make_ledger
from headwater.ledger.hand import this_hand
from headwater.ledger.look import show_case
from headwater.ledger.taken import add_case, add_pictures, export_cases, read_case_file
from headwater.session.photographs import add_photograph, photographs
from headwater.session.session import open_session
from headwater.web.visits import COOKIE, Role
from web.browsing import served
from web.conftest import FROZEN, Standing, token
from web.seating import Sitter

RED, BLUE = (200, 30, 30), (30, 30, 200)
ORIENTATION, GPS = 0x0112, 0x8825
HEIC = b"\x00\x00\x00\x18ftypheic\x00\x00\x00\x00mif1heic" + b"\x00" * 400


def picture(
    size: tuple[int, int] = (60, 40), *, turned: int = 1, form: str = "JPEG", mode: str = "RGB"
) -> bytes:
    """Return a picture, red on its left and blue on its right, with EXIF where it was taken."""
    made = Image.new("RGB", size, RED)
    made.paste(BLUE, (size[0] // 2, 0, *size))
    exif = Image.Exif()
    exif[ORIENTATION] = turned
    exif.get_ifd(GPS)[2] = (46.0, 30.0, 0.0)
    written = io.BytesIO()
    made.convert(mode).save(written, form, **({"exif": exif} if form == "JPEG" else {}))
    return written.getvalue()


def opened(data: bytes) -> Image.Image:
    return Image.open(io.BytesIO(data))


def near(found: Any, wanted: tuple[int, int, int]) -> bool:
    return all(abs(a - b) < 25 for a, b in zip(found, wanted, strict=True))


# What comes of a picture ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("turned", "size", "red", "blue"),
    [
        (1, (60, 40), (5, 20), (55, 20)),
        (3, (60, 40), (55, 20), (5, 20)),
        (6, (40, 60), (20, 5), (20, 55)),  # to be turned right: what was left is on top
        (8, (40, 60), (20, 55), (20, 5)),
    ],
)
def test_a_picture_is_turned_as_its_exif_says_and_then_has_none(
    turned: int, size: tuple[int, int], red: tuple[int, int], blue: tuple[int, int]
) -> None:
    sent = picture(turned=turned)
    assert opened(sent).getexif()[ORIENTATION] == turned
    assert dict(opened(sent).getexif().get_ifd(GPS)), "it says where it was taken"
    kept = opened(upright_jpeg(sent))
    assert kept.format == "JPEG"
    assert kept.size == size
    assert near(kept.getpixel(red), RED)
    assert near(kept.getpixel(blue), BLUE)
    assert not kept.getexif()
    assert "exif" not in kept.info


def test_nothing_else_of_the_file_is_left() -> None:
    written = io.BytesIO()
    opened(picture()).save(written, "JPEG", comment=b"taken by Ada", icc_profile=b"x" * 200)
    kept = upright_jpeg(written.getvalue() + b"<script>alert(1)</script>")
    assert b"Ada" not in kept
    assert b"script" not in kept
    assert set(opened(kept).info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density", "dpi"}


@pytest.mark.parametrize(
    ("sent", "kept"),
    [((4000, 1000), (2000, 500)), ((1000, 4000), (500, 2000)), ((300, 200), (300, 200))],
)
def test_a_picture_is_made_no_larger_than_it_needs_to_be(
    sent: tuple[int, int], kept: tuple[int, int]
) -> None:
    assert max(kept) <= LONGEST_SIDE
    assert opened(upright_jpeg(picture(sent))).size == kept


@pytest.mark.parametrize(
    ("form", "mode"),
    [("PNG", "RGB"), ("PNG", "P"), ("PNG", "L"), ("PNG", "1"), ("WEBP", "RGB"), ("JPEG", "CMYK")],
)
def test_other_forms_become_the_same(form: str, mode: str) -> None:
    kept = opened(upright_jpeg(picture(form=form, mode=mode)))
    assert (kept.format, kept.mode, kept.size) == ("JPEG", "RGB", (60, 40))


def test_what_can_be_seen_through_stands_on_white() -> None:
    written = io.BytesIO()
    Image.new("RGBA", (20, 20), (0, 0, 0, 0)).save(written, "PNG")
    assert near(opened(upright_jpeg(written.getvalue())).getpixel((10, 10)), (255, 255, 255))


def test_heic_is_refused_in_words() -> None:
    with pytest.raises(PictureError, match=r"HEIC.*set the camera to take JPEG"):
        upright_jpeg(HEIC)


SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'


@pytest.mark.parametrize(
    "sent",
    [b"x", b"\xff\xd8\xff", SVG, b"GIF89a" + b"\0" * 50, b"%PDF-1.7", picture()[:300]],
    ids=["letter", "begun", "svg", "gif", "pdf", "torn"],
)
def test_what_is_no_picture_is_refused_in_words(sent: bytes) -> None:
    with pytest.raises(PictureError, match="no photograph that can be read; send a JPEG"):
        upright_jpeg(sent)


def test_nothing_is_asked_for() -> None:
    with pytest.raises(PictureError, match="choose or take one"):
        upright_jpeg(b"")


@pytest.mark.parametrize("side", [8_500, 12_000, 40_000])
def test_a_small_file_of_many_points_is_refused_before_it_is_read(side: int) -> None:
    assert side * side > MOST_PIXELS
    with pytest.raises(PictureError, match="too large"):
        upright_jpeg(_bomb(side))


def _bomb(side: int) -> bytes:
    """Return the beginning of a PNG that says it is very large: nothing but that may be read."""
    import struct
    import zlib

    head = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    rows = zlib.compress(b"\0" * 100_000)
    parts = ((b"IHDR", head), (b"IDAT", rows), (b"IEND", b""))
    chunks = (
        struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        for kind, data in parts
    )
    return b"\x89PNG\r\n\x1a\n" + b"".join(chunks)


def test_a_file_over_the_limit_is_refused_unread() -> None:
    with pytest.raises(PictureError, match="too large"):
        upright_jpeg(b"\xff\xd8" + b"\0" * PICTURE_BYTES)


# On the page ------------------------------------------------------------------------------------


def _answered(yard: Standing) -> Sitter:
    """Return somebody at the bench who has just answered."""
    bench = Sitter.at(yard, "pads", "bench")
    assert "/photograph" not in bench.page, "nothing was answered yet"
    bench.answer("dont-know")
    return bench


def _sent(bench: Sitter, data: bytes, name: str = "a.jpg", **more: str) -> Any:
    """Send a picture by the form of the page."""
    form, _, after = bench.page.partition(f'action="{bench.path}/photograph"')
    assert form
    assert 'enctype="multipart/form-data"' in after[:100]
    assert 'accept="image/*" capture="environment"' in after
    number = after.partition('name="number" value="')[2].partition('"')[0]
    fields = {"csrf": token(bench.page), "number": number, **more}
    return bench.client.post(
        f"{bench.path}/photograph", data=fields, files={"picture": (name, data, "image/jpeg")}
    )


def _kept(yard: Standing, case: str = "pads") -> list[str]:
    return [p for p in read_case(yard.folder / f"{case}.yaml").pictures if len(p) == 68]


def test_a_photograph_goes_to_the_finding_just_answered(yard: Standing) -> None:
    bench = _answered(yard)
    asked = [e for e in read_case(yard.folder / "pads.yaml").findings if e.check]
    assert _sent(bench, picture(turned=6), caption=" bright on  one side ").status_code == 303
    entry = read_case(yard.folder / "pads.yaml").findings[-1]
    assert (entry.of, entry.note) == (len(asked), "bright on one side")
    assert entry.seat == "bench"
    kept = (yard.folder / entry.photograph).read_bytes()
    assert name_of_picture(kept) == entry.photograph
    assert opened(kept).size == (40, 60)
    assert "The photograph is kept with this finding." in bench.look()
    assert _sent(bench, picture((80, 40))).status_code == 303, "another one of the same"
    assert read_case(yard.folder / "pads.yaml").findings[-1].of == len(asked)


def test_the_same_photograph_sent_twice_counts_once(yard: Standing) -> None:
    bench = _answered(yard)
    for _ in range(2):
        _sent(bench, picture())
        bench.look()
    assert len(_kept(yard)) == 1
    assert len([e for e in read_case(yard.folder / "pads.yaml").findings if e.photograph]) == 1


def test_a_photograph_changes_no_verdict(yard: Standing) -> None:
    bench = _answered(yard)
    with yard.house.reading("pads") as session:
        before = (session.verdict.ending, session.held, list(session.answers))
    _sent(bench, picture())
    with yard.house.reading("pads") as session:
        assert (session.verdict.ending, session.held, list(session.answers)) == before


@pytest.mark.parametrize(
    ("data", "told"), [(HEIC, "HEIC"), (b"no", "no photograph"), (_bomb(40_000), "too large")]
)
def test_what_is_refused_is_said_on_the_page_and_nothing_is_kept(
    yard: Standing, data: bytes, told: str
) -> None:
    bench = _answered(yard)
    assert _sent(bench, data).status_code == 303
    bench.look()
    assert told in bench.page.partition('role="alert">')[2].partition("</p>")[0]
    assert _kept(yard) == []
    assert not [*yard.folder.glob("*.jpg")]


def test_without_a_file_the_page_asks_for_one(yard: Standing) -> None:
    bench = _answered(yard)
    sent = {"csrf": token(bench.page), "number": "1"}
    assert bench.client.post(f"{bench.path}/photograph", data=sent).status_code == 303
    assert "choose or take one" in bench.look()


@pytest.mark.parametrize("number", ["99", "0", "-1", "x", ""])
def test_an_answer_that_is_none_has_no_photograph(yard: Standing, number: str) -> None:
    bench = _answered(yard)
    fields = {"csrf": token(bench.page), "number": number}
    files = {"picture": ("a.jpg", picture(), "image/jpeg")}
    reply = bench.client.post(f"{bench.path}/photograph", data=fields, files=files)
    assert reply.status_code == 409
    assert _kept(yard) == []


def test_a_caller_sends_no_photograph(yard: Standing) -> None:
    call = Sitter.at(yard, "pads", "call")
    assert "/photograph" not in call.page


def test_a_hundred_megabytes_are_not_read(yard: Standing) -> None:
    """Over a real server, by somebody who is inside: a photograph may be large, but not that."""
    with served(yard.house) as address:
        host = address.removeprefix("http://")
        cookie = yard.house.visits.begin(Role.BENCH)
        head = f"POST /case/pads/at/bench/photograph HTTP/1.1\r\nhost: {host}\r\n"
        head += f"cookie: {COOKIE}={cookie}\r\ncontent-length: 100000000\r\n\r\n"
        with socket.create_connection((host.split(":")[0], int(host.split(":")[1]))) as line:
            line.settimeout(20)
            line.sendall(head.encode())
            sent = 0
            with suppress(OSError):
                while sent < 100_000_000:
                    line.sendall(b"x" * 65536)
                    sent += 65536
            told = b""
            with suppress(OSError):
                told = line.recv(200)
    assert sent < PICTURE_BYTES
    assert told == b"" or b" 413 " in told


def test_a_little_more_than_a_picture_is_refused_at_the_door(yard: Standing) -> None:
    bench = _answered(yard)
    assert _sent(bench, b"x" * (PICTURE_BYTES + 100_000)).status_code == 413
    assert bench.client.post(f"{bench.path}/answer", content=b"x" * 100_000).status_code == 413


# Who sees it ------------------------------------------------------------------------------------


def test_a_photograph_is_shown_with_its_case_and_with_no_other(yard: Standing) -> None:
    bench = _answered(yard)
    _sent(bench, picture(), caption="<b>bright</b>")
    (name,) = _kept(yard)
    path = f"/case/pads/photograph/{name}"
    for page in ("", "/report/shop", "/report/customer"):
        shown = bench.client.get(f"/case/pads{page}").text
        assert f'<img src="{path}"' in shown, page
        assert "&lt;b&gt;bright&lt;/b&gt;" in shown
    reply = bench.client.get(path)
    assert reply.headers["content-type"] == "image/jpeg"
    assert reply.content == (yard.folder / name).read_bytes()
    assert bench.client.get(f"/case/bore/photograph/{name}").status_code == 404
    assert yard.client().get(path).headers["location"] == "/enter"
    apprentice = yard.client()
    apprentice.cookies.set(COOKIE, yard.house.visits.begin(Role.APPRENTICE))
    assert apprentice.get(path).status_code == 403


@pytest.mark.parametrize(
    "name", ["pads.yaml", "~1etc~1passwd", "..%2Fpads.yaml", "0" * 64 + ".jpg", "left.jpg"]
)
def test_no_other_file_is_ever_handed_out(yard: Standing, name: str) -> None:
    path = yard.folder / "pads.yaml"
    path.write_text(f"photographs: [pads.yaml, left.jpg, {'0' * 64}.jpg]\n{path.read_text()}")
    for other in ("left.jpg", f"{'0' * 64}.jpg"):
        (yard.folder / other).write_bytes(picture())
    assert yard.inside().get(f"/case/pads/photograph/{name}").status_code == 404


def test_a_picture_that_was_put_in_its_place_is_not_shown(yard: Standing) -> None:
    bench = _answered(yard)
    _sent(bench, picture())
    (name,) = _kept(yard)
    (yard.folder / name).write_bytes(picture((10, 10)))
    assert bench.client.get(f"/case/pads/photograph/{name}").status_code == 404


# The paper --------------------------------------------------------------------------------------


def _with_photograph(yard: Standing) -> Path:
    bench = _answered(yard)
    _sent(bench, picture((400, 300), turned=6), caption="the worn side")
    return yard.folder / "pads.yaml"


BOOK = ["--book", str(FROZEN / "looks"), "--book", str(FROZEN / "winch")]


def _report(case: Path, out: Path, reader: str = "shop") -> bytes:
    told = io.StringIO()
    words = ["report", str(case), "-o", str(out), "--for", reader, *BOOK]
    assert run(words, Terminal(told, told, io.StringIO(), width=80)) in (0, 1), told.getvalue()
    return out.read_bytes()


@pytest.mark.parametrize("reader", ["shop", "customer"])
def test_the_picture_stands_in_the_report_as_a_pdf(
    yard: Standing, tmp_path: Path, reader: str
) -> None:
    case = _with_photograph(yard)
    out = tmp_path / "report.pdf"
    assert _report(case, out, reader).startswith(b"%PDF")
    listed = subprocess.run(
        ["pdfimages", "-list", str(out)], capture_output=True, text=True, check=True, timeout=60
    ).stdout
    assert [row.split()[3:5] for row in listed.splitlines()[2:]] == [["300", "400"]]
    text = subprocess.run(
        ["pdftotext", str(out), "-"], capture_output=True, text=True, check=True, timeout=60
    ).stdout
    assert "the worn side" in text


def test_a_report_as_one_page_holds_the_picture(yard: Standing, tmp_path: Path) -> None:
    text = _report(_with_photograph(yard), tmp_path / "r.html").decode()
    assert '<img src="data:image/jpeg;base64,/9j/' in text
    assert "img-src data:" in text
    told = _report(yard.folder / "pads.yaml", tmp_path / "r.md").decode()
    assert "the worn side" in told
    assert "base64" not in told


def test_a_photograph_of_an_answer_that_was_taken_back_is_still_shown(yard: Standing) -> None:
    case = _with_photograph(yard)
    session = open_session(yard.house.book, read_case(case))
    number = len([e for e in session.case.findings if e.check])
    session.back()
    (shown,) = photographs(session)
    assert shown[1] is session.findings[number - 1]
    outputs.paper("summary", session)
    with pytest.raises(Exception, match="there is no answer"):
        add_photograph(session, "x", number + 1)


# The ledger -------------------------------------------------------------------------------------


@pytest.fixture
def shop(yard: Standing, tmp_path: Path) -> Iterator[Ledger]:
    """A ledger with the stored case in it, and the house over it."""
    ledger = make_ledger(str(tmp_path / "ledger.sqlite"), {"zone": "Etc/UTC"})
    add_case(ledger, read_case_file(yard.folder / "pads.yaml", lambda _: None), this_hand("Ada"))
    yard.house.shelf = LedgerShelf(ledger)
    yield ledger
    ledger.close()


def test_the_ledger_keeps_a_photograph_by_its_digest(
    yard: Standing, shop: Ledger, tmp_path: Path
) -> None:
    bench = _answered(yard)
    for _ in range(2):
        _sent(bench, picture(), caption="worn")
        bench.look()
    (row,) = [one for one in show_case(shop, "pads").pictures if one.size]
    assert row.name == f"{row.digest}.jpg"
    reply = bench.client.get(f"/case/pads/photograph/{row.name}")
    assert name_of_picture(reply.content) == row.name
    assert LedgerPlace(shop, "pads").picture("other.jpg") is None
    assert not [*yard.folder.glob("*.jpg")]
    out = tmp_path / "out"
    out.mkdir()
    export_cases(shop, ["pads"], out)
    assert FilePlace(out / "pads.yaml").picture(row.name) == reply.content
    assert read_case(out / "pads.yaml").findings[-1].photograph == row.name
    other = make_ledger(str(tmp_path / "other.sqlite"), {"zone": "Etc/UTC"})
    file = read_case_file(out / "pads.yaml", lambda _: None)
    add_case(other, file, this_hand("Ben"))
    assert add_pictures(other, "pads", file) == ()
    assert LedgerPlace(other, "pads").picture(row.name) == reply.content
    other.close()
