"""Pictures as they are sent, made into what is kept: the only user of Pillow.

Whatever comes is decoded and written anew, so that nothing of the file that was sent is left: no
place where it was taken, no words, no second picture within it, no program.
"""

from __future__ import annotations

import io

from PIL import Image, ImageOps

from headwater.errors import HeadwaterError

PICTURE_BYTES = 16_000_000
"""The largest picture that is taken; a telephone's have three to eight millions."""
MOST_PIXELS = 64_000_000
LONGEST_SIDE = 2_000
"""Pixels of the longest side of what is kept: enough for a page of A4 at 170 to the inch."""
QUALITY = 85
FORMS = ("JPEG", "PNG", "WEBP")
"""What is read: the forms in which cameras, telephones and screens give pictures."""
_MORE_THAN_BROWSERS = (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1", b"msf1")


class PictureError(HeadwaterError):
    """What was sent is no picture that can be kept."""


def upright_jpeg(sent: bytes) -> bytes:
    """Return a picture as a JPEG: upright, its longest side at most `LONGEST_SIDE`, with no EXIF.

    Raises PictureError with the mend.
    """
    _refuse_by_bytes(sent)
    try:
        with Image.open(io.BytesIO(sent), formats=FORMS) as opened:
            if opened.width * opened.height > MOST_PIXELS:
                raise PictureError(_TOO_LARGE)
            opened.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
            made = _in_shape(opened)
    except (Image.DecompressionBombError, Image.DecompressionBombWarning):
        raise PictureError(_TOO_LARGE) from None
    except PictureError:
        raise
    except Exception:  # a decoder that is fed with anything may raise anything
        raise PictureError(_NONE) from None
    written = io.BytesIO()
    made.save(written, "JPEG", quality=QUALITY, optimize=True)
    return written.getvalue()


def _in_shape(opened: Image.Image) -> Image.Image:
    """Return the picture turned as its EXIF says, small, on white; with nothing but its points."""
    clear = "A" in opened.mode or "transparency" in opened.info
    small = opened.convert("RGBA" if clear else "RGB")
    small.thumbnail((LONGEST_SIDE, LONGEST_SIDE), Image.Resampling.LANCZOS)
    turned = ImageOps.exif_transpose(small)
    made = Image.new("RGB", turned.size, "white")
    made.paste(turned, mask=turned if clear else None)
    return made


def _refuse_by_bytes(sent: bytes) -> None:
    """Raise PictureError where the first bytes say already what is wrong."""
    if not sent:
        raise PictureError("no photograph came with it; choose or take one, then send it")
    if len(sent) > PICTURE_BYTES:
        raise PictureError(_TOO_LARGE)
    if sent[4:8] == b"ftyp" and sent[8:12] in _MORE_THAN_BROWSERS:
        raise PictureError(_HEIC)


_TOO_LARGE = (
    f"this photograph is too large (more than {PICTURE_BYTES // 1_000_000} MB, or "
    f"{MOST_PIXELS // 1_000_000} million points); set the camera to a smaller one"
)
_HEIC = (
    "this photograph is HEIC, which most browsers cannot show; set the camera to take JPEG, "
    "or save the picture as JPEG first"
)
_NONE = "this is no photograph that can be read; send a JPEG, PNG or WebP, the file as it was taken"
