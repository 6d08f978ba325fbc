"""The report as a PDF: its text, its feet, and what is said where it cannot be made."""

from __future__ import annotations

import builtins
import shutil
import socket
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from process import ROOT, run

from headwater.errors import HeadwaterError
from headwater.render.pdf import pdf_of

RIDGE = ROOT / "examples" / "ridge-07.yaml"


def _sheets(path: Path) -> list[str]:
    told = subprocess.run(["pdftotext", "-layout", str(path), "-"], capture_output=True, text=True)
    return told.stdout.rstrip("\f").split("\f")


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="there is no pdftotext here")
@pytest.mark.parametrize("reader", ["shop", "customer"])
def test_a_report_is_written_as_a_pdf(tmp_path: Path, reader: str) -> None:
    made = tmp_path / "report.pdf"
    found = run("report", RIDGE, "--for", reader, "-o", made)
    assert found.returncode == 0, found.stderr
    assert found.stderr == ""
    assert made.read_bytes().startswith(b"%PDF-")
    sheets = _sheets(made)
    assert 1 <= len(sheets) <= 6
    for number, sheet in enumerate(sheets, 1):
        assert f"{number}/{len(sheets)}" in "".join(sheet.split())
    if reader == "shop":
        assert all("Case ridge-07" in sheet for sheet in sheets)
        assert "every finding is explained by a named origin" in " ".join("".join(sheets).split())


HEAD = (ROOT / "examples" / "letterhead.yaml").read_text(encoding="utf-8")
SIZES = {"a4": "595.276 x 841.89", "letter": "612 x 792"}
"""A4 by ISO 216 and Letter by ANSI/ASME Y14.1, in points as pdfinfo prints them."""
FOOT = 2
"""Lines at the foot of a sheet: the case and the number, and a blank one before them."""


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="there is no pdftotext here")
@pytest.mark.parametrize("size", SIZES)
def test_what_a_customer_pays_and_signs_stands_on_the_paper(tmp_path: Path, size: str) -> None:
    head, made, case = tmp_path / "head.yaml", tmp_path / "report.pdf", tmp_path / "ridge.yaml"
    head.write_text(HEAD.replace("sheet: a4", f"sheet: {size}"), encoding="utf-8")
    own = "customer: mountain rescue\nvehicle: fleet 17\ndistance: 84000 km\n"
    case.write_text(own + RIDGE.read_text(encoding="utf-8"), encoding="utf-8")
    words = ("--prices", ROOT / "examples" / "prices" / "winter-list.yaml", "--letterhead", head)
    found = run("report", case, "--for", "customer", "-o", made, *words)
    assert (found.returncode, found.stderr) == (0, "")
    told = subprocess.run(["pdfinfo", str(made)], capture_output=True, text=True, check=True).stdout
    assert SIZES[size] in told
    sheets = _sheets(made)
    assert 2 <= len(sheets) <= 3
    first, last = (" ".join(sheet.split()) for sheet in (sheets[0], sheets[-1]))
    assert "Ridge workshop, Mill Lane 4, North Valley, 555 0100" in first
    assert "Customer: mountain rescue. Vehicle: fleet 17. Distance: 84000 km." in first
    whole = " ".join("".join(sheets).split())
    assert "minutes material labour net VAT 19 % total comes back" in whole
    assert "601 641.00 641.07 1282.07 243.59 1525.66 under 1 %" in whole
    for name in ("Warranty", "Which way, by its number", "Amount, in EUR", "Name", "Signature"):
        assert name in last, "who signs sees what for"
    for sheet in sheets:
        lines = [line for line in sheet.splitlines() if line.strip()]
        assert len(lines) > 8, "nothing is stranded on a sheet"
        assert not lines[-FOOT].startswith(HEADINGS), "nor a heading at the end of one"


HEADINGS = ("May it", "What", "Why", "Where it began", "Ways", "Warranty", "Approval")


def test_a_pdf_is_written_over_only_by_force(tmp_path: Path) -> None:
    made = tmp_path / "report.pdf"
    made.write_bytes(b"%PDF-1.4 of somebody else")
    found = run("report", RIDGE, "-o", made)
    assert found.returncode == 2
    assert "--force" in found.stderr
    assert run("report", RIDGE, "-o", made, "--force").returncode == 0
    assert b"of somebody else" not in made.read_bytes()[:30]


def test_nothing_is_fetched_for_a_pdf(tmp_path: Path) -> None:
    secret = tmp_path / "secret.svg"
    secret.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg"><text y="9">undisclosed</text></svg>'
    )
    with socket.create_server(("127.0.0.1", 0)) as listener:
        listener.settimeout(0.2)
        far = f"http://127.0.0.1:{listener.getsockname()[1]}/x.svg"
        page = f'<p>x</p><img src="{far}"><img src="{secret.as_uri()}">'
        made = pdf_of(page, "foot")
        with pytest.raises(TimeoutError):
            listener.accept()
    written = tmp_path / "made.pdf"
    written.write_bytes(made)
    assert "undisclosed" not in "".join(_sheets(written))


@pytest.mark.parametrize(
    ("fault", "told"),
    [
        (ModuleNotFoundError("no", name="weasyprint"), r"pip install '\.\[pdf\]'"),
        (OSError("cannot load library 'libpango-1.0-0': no such file\nmore"), "install Pango"),
    ],
)
def test_what_is_missing_is_said_in_one_line(
    monkeypatch: pytest.MonkeyPatch, fault: Exception, told: str
) -> None:
    real = builtins.__import__

    def broken(name: str, *rest: Any) -> Any:
        if name == "weasyprint":
            raise fault
        return real(name, *rest)

    monkeypatch.delitem(sys.modules, "weasyprint", raising=False)
    monkeypatch.setattr(builtins, "__import__", broken)
    with pytest.raises(HeadwaterError, match=told) as caught:
        pdf_of("<p>x", "x")
    assert "\n" not in str(caught.value)
