"""Cleans a photo that somebody uploads: checked, turned upright, shrunk, without camera data."""

from __future__ import annotations

import io
import uuid

from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.uploadedfile import UploadedFile
from PIL import Image, ImageFile, ImageOps, UnidentifiedImageError

LONGEST_SIDE = 1600
"""Pixels; enough for a full page of the quote and for a close look on screen."""
MOST_PIXELS = 64_000_000
"""More than any phone takes by default; a decoded photo of that size fills 190 MB."""
QUALITY = 85
FORMATS = ("JPEG", "PNG", "WEBP")
MEGA = 1024 * 1024


class PhotoError(Exception):
    """Raised with words for the person who uploaded; nothing is kept."""


def clean_photo(upload: UploadedFile[bytes]) -> ContentFile[bytes]:
    """Return the photo as an upright JPEG of at most 1600 px a side, under a new name.

    What the camera wrote beside the picture (place, time, make) is dropped.

    Raises:
        PhotoError: the file is too large, holds too many pixels, or is no whole picture.
    """
    check_bytes(upload)
    # The PDF library switches this on for the whole process; half a photo is no photo here.
    ImageFile.LOAD_TRUNCATED_IMAGES = False
    try:
        with Image.open(upload, formats=FORMATS) as image:
            check_pixels(image)
            upright = ImageOps.exif_transpose(shrunk(image))
            out = io.BytesIO()
            on_white(upright).save(out, "JPEG", quality=QUALITY, optimize=True, progressive=True)
    except Image.DecompressionBombError as error:
        raise PhotoError(too_many_pixels()) from error
    except UnidentifiedImageError as error:
        raise PhotoError(
            f"“{upload.name}” is not a photo that can be read here. Take it as JPEG, PNG or WebP."
        ) from error
    except (OSError, SyntaxError, ValueError) as error:
        raise PhotoError(
            f"“{upload.name}” is damaged or did not arrive whole. Send it again, or take another."
        ) from error
    return ContentFile(out.getvalue(), name=f"{uuid.uuid4().hex}.jpg")


def check_bytes(upload: UploadedFile[bytes]) -> None:
    """See that the file is not empty and not above ``settings.PHOTO_MAX_BYTES``."""
    size = upload.size or 0
    if not size:
        raise PhotoError(f"“{upload.name}” is empty. Take the photo again.")
    if size > settings.PHOTO_MAX_BYTES:
        raise PhotoError(
            f"“{upload.name}” has {size / MEGA:.0f} MB; a photo may have at most "
            f"{settings.PHOTO_MAX_BYTES // MEGA} MB. Set the camera to a smaller size."
        )


def check_pixels(image: Image.Image) -> None:
    """See that the picture, as its head says, can be decoded without filling the memory."""
    if image.width * image.height > MOST_PIXELS:
        raise PhotoError(too_many_pixels())


def too_many_pixels() -> str:
    """Return the words for a picture with too many pixels."""
    return (
        f"The photo has more than {MOST_PIXELS // 1_000_000} million pixels. "
        "Set the camera to a smaller size."
    )


def shrunk(image: Image.Image) -> Image.Image:
    """Return the picture with no side longer than ``LONGEST_SIDE``."""
    image.thumbnail((LONGEST_SIDE, LONGEST_SIDE))
    return image


def on_white(image: Image.Image) -> Image.Image:
    """Return the picture in RGB, what is transparent in it as white."""
    if not image.has_transparency_data:
        return image.convert("RGB")
    layered = image.convert("RGBA")
    white = Image.new("RGB", layered.size, "white")
    white.paste(layered, mask=layered.getchannel("A"))
    return white
