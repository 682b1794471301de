"""The shop's photos, made small enough for paper."""

from __future__ import annotations

import io
import logging

from django.db.models.fields.files import ImageFieldFile
from PIL import Image

from quotes.print.paper import PrintedPhoto

LOGGER = logging.getLogger(__name__)
BIKE_EDGE = 720
FINDING_EDGE = 420
QUALITY = 72


def printed_photo(image: ImageFieldFile, url: str, alt: str, edge: int) -> PrintedPhoto | None:
    """Return a photo no longer than ``edge`` pixels, or None where there is none to read.

    The file stays as it is. A photo that is missing or cannot be read is left out of the paper
    and logged, so that the quote goes out all the same.
    """
    if not image:
        return None
    try:
        return PrintedPhoto(url, _small_jpeg(image, edge), alt)
    except (OSError, ValueError, Image.DecompressionBombError):
        LOGGER.warning("Photo %s cannot be read: the quote is printed without it", image.name)
        return None


def _small_jpeg(image: ImageFieldFile, edge: int) -> bytes:
    """Return the picture as JPEG bytes; the same picture gives the same bytes."""
    out = io.BytesIO()
    with image.storage.open(str(image.name)) as file, Image.open(file) as picture:
        picture.draft("RGB", (edge, edge))
        small = picture.convert("RGB")
        small.thumbnail((edge, edge))
        small.save(out, "JPEG", quality=QUALITY, optimize=True)
    return out.getvalue()
