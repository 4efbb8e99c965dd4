"""Photos as they are kept: small, upright, and without anything but the picture.

A camera writes place, time and its own number into a file. Drawing the picture anew leaves all of
that behind, whatever the page did before.
"""

from __future__ import annotations

import hashlib
import io
import warnings
from dataclasses import dataclass
from typing import TYPE_CHECKING

from PIL import Image, ImageOps

if TYPE_CHECKING:
    from django.core.files.uploadedfile import UploadedFile

LONGEST_SIDE = 1600  # pixels: a fault is still seen, a file stays near 300 kB
MOST_BYTES = 15 * 1024 * 1024
MOST_PIXELS = 60_000_000
KINDS = ("JPEG", "PNG", "WEBP")
QUALITY = 82


class ImageError(ValueError):
    """Why a file cannot be kept as a photo; the message is for a person."""


@dataclass(frozen=True)
class CleanImage:
    """A JPEG with nothing in it but the picture."""

    content: bytes
    width: int
    height: int

    @property
    def sha256(self) -> str:
        """What names this very picture."""
        return hashlib.sha256(self.content).hexdigest()


def clean_image(upload: UploadedFile[bytes]) -> CleanImage:
    """The picture of an upload, drawn anew; ImageError for what is none or too large."""
    if upload.size is None or upload.size > MOST_BYTES:
        raise ImageError("This file is over 15 MB. Take the photo again at a smaller size.")
    try:
        # A small file may unpack to a huge picture: Pillow warns of it, and that is enough.
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            return _drawn_anew(upload)
    except (OSError, SyntaxError, ValueError, Image.DecompressionBombError, Warning) as error:
        if isinstance(error, ImageError):
            raise
        raise ImageError("This is not a photo. Choose a JPEG, PNG or WebP file.") from error


def _drawn_anew(upload: UploadedFile[bytes]) -> CleanImage:
    with Image.open(upload, formats=KINDS) as opened:
        if opened.width * opened.height > MOST_PIXELS:
            raise ImageError("This photo has too many pixels. Take it again at a smaller size.")
        opened.draft("RGB", (LONGEST_SIDE, LONGEST_SIDE))
        upright = ImageOps.exif_transpose(opened).convert("RGB")
    upright.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    # A picture of its own: what a file says beside its pixels stays with the one that was read.
    bare = Image.frombytes("RGB", upright.size, upright.tobytes())
    out = io.BytesIO()
    bare.save(out, "JPEG", quality=QUALITY, optimize=True)
    return CleanImage(out.getvalue(), bare.width, bare.height)
