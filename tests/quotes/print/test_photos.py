"""Photos made small for paper."""

from __future__ import annotations

import io

import pytest
from django.core.files.base import ContentFile
from PIL import Image

from quotes.print.photos import printed_photo
from tests.factories.bikes import BikeFactory
from tests.factories.inspections import jpeg

pytestmark = pytest.mark.django_db


def bike_with(data: bytes):
    """Return a bike whose photo is a file of these bytes."""
    bike = BikeFactory.create()
    bike.photo.save("bike.jpg", ContentFile(data))
    return bike


@pytest.mark.parametrize(
    ("width", "height", "size"),
    [(1600, 1200, (720, 540)), (1200, 1600, (540, 720)), (300, 200, (300, 200))],
)
def test_it_is_no_longer_than_asked_and_never_made_larger(width, height, size):
    photo = printed_photo(bike_with(jpeg(width, height)).photo, "photo:bike", "A bike", 720)
    assert photo is not None
    assert (photo.url, photo.alt) == ("photo:bike", "A bike")
    assert Image.open(io.BytesIO(photo.data)).size == size


def test_the_file_on_the_shelf_stays_as_it_is():
    bike = bike_with(jpeg(1600, 1200))
    before = bike.photo.storage.open(bike.photo.name).read()
    printed_photo(bike.photo, "photo:bike", "A bike", 720)
    assert bike.photo.storage.open(bike.photo.name).read() == before


def test_the_same_photo_gives_the_same_bytes():
    bike = bike_with(jpeg(900, 700))
    one, two = (printed_photo(bike.photo, "photo:bike", "A bike", 720) for _ in range(2))
    assert one == two


@pytest.mark.parametrize("data", [b"no picture", jpeg(900, 700)[:200], b""])
def test_a_photo_that_cannot_be_read_is_left_out_and_told(data, caplog):
    bike = bike_with(data)
    assert printed_photo(bike.photo, "photo:bike", "A bike", 720) is None
    assert "cannot be read" in caplog.text


def test_without_a_photo_there_is_none():
    assert printed_photo(BikeFactory.create().photo, "photo:bike", "A bike", 720) is None
