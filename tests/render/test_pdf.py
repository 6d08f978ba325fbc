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
