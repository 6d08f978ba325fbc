"""A page as a PDF: the only user of WeasyPrint, which is imported when one is written."""

from __future__ import annotations

from typing import Any

from headwater.errors import HeadwaterError
from headwater.render.site import paged_style


def pdf_of(page: str, foot: str, sheet: str = "") -> bytes:
    """Return a self-contained page as a PDF, with `foot` and its number on every page.

    `sheet` is the size of the paper, `a4` where nothing is said, or `letter`.

    Nothing is fetched, from this machine or another; pictures stand in the page itself. Raises
    HeadwaterError where the extra or a library of the system is missing.
    """
    library = _library()
    nothing = library.urls.URLFetcher(allowed_protocols=("data",))
    html = library.HTML(string=page, url_fetcher=nothing)
    made: bytes = html.write_pdf(stylesheets=[library.CSS(string=paged_style(foot, sheet))])
    return made


def _library() -> Any:
    try:
        import weasyprint
    except ModuleNotFoundError as error:
        if (error.name or "").partition(".")[0] != "weasyprint":
            raise
        text = "a PDF needs the extra 'pdf': pip install '.[pdf]' in Headwater's folder"
        raise HeadwaterError(text) from None
    except OSError as error:
        missing = str(error).partition(":")[0].splitlines()[0]
        mend = "install Pango (Debian: apt-get install libpangoft2-1.0-0), or write .html"
        raise HeadwaterError(f"a PDF needs a library of the system ({missing}); {mend}") from None
    return weasyprint
