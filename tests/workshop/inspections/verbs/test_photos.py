"""Adding photos to a check and taking them away."""

import io

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from PIL import Image

from tests.factories.inspections import CheckFactory, PhotoFactory, jpeg
from workshop.bikes.photos import PhotoError, clean_photo
from workshop.inspections.models import Photo
from workshop.inspections.verbs.finish import finish_inspection
from workshop.inspections.verbs.locking import FinishedError
from workshop.inspections.verbs.photos import add_photo, keep_photos, remove_photo

pytestmark = pytest.mark.django_db


def upload(name="crack.jpg", content=None):
    return SimpleUploadedFile(name, content or jpeg(2400, 1200))


@pytest.fixture
def check(inspection, hinge):
    return CheckFactory(inspection=inspection, checkpoint=hinge)


def stored(settings):
    return [path for path in settings.MEDIA_ROOT.rglob("*") if path.is_file()]


def test_a_photo_is_kept_shrunk_with_the_name_of_who_took_it(check, sam):
    photo = add_photo(check, upload(), sam)
    assert photo.by == sam
    with photo.image.open() as file:
        assert max(Image.open(io.BytesIO(file.read())).size) == 1600


@pytest.mark.parametrize("content", [b"MZ not a photo", b"<svg/>", jpeg()[:200]])
def test_what_is_no_photo_is_refused_and_leaves_no_trace(check, sam, settings, content):
    with pytest.raises(PhotoError):
        add_photo(check, upload(content=content), sam)
    assert not Photo.objects.exists()
    assert not stored(settings)


def test_a_photo_removed_takes_its_file_with_it(
    check, sam, settings, django_capture_on_commit_callbacks
):
    photo = add_photo(check, upload(), sam)
    with django_capture_on_commit_callbacks(execute=True):
        remove_photo(photo)
    assert not Photo.objects.exists()
    assert not stored(settings)


def test_the_file_stays_as_long_as_the_removal_is_not_certain(
    check, sam, settings, django_capture_on_commit_callbacks
):
    photo = add_photo(check, upload(), sam)
    with django_capture_on_commit_callbacks(execute=False):
        remove_photo(photo)
    assert len(stored(settings)) == 1


def test_where_the_second_can_not_be_kept_the_firsts_file_goes_too(
    check, sam, settings, monkeypatch
):
    cleaned = [clean_photo(upload()) for _ in range(2)]
    save, calls = Photo.save, []

    def fail_second(photo, **options):
        calls.append(photo)
        if len(calls) == 2:
            raise OSError("disk full")
        save(photo, **options)

    monkeypatch.setattr(Photo, "save", fail_second)
    with pytest.raises(OSError, match="disk full"):
        keep_photos(check, cleaned, sam)
    assert not stored(settings)


def test_a_finished_inspections_photos_are_left_alone(check, sam):
    photo = PhotoFactory(check_made=check)
    finish_inspection(check.inspection, sam, rest_because="x")
    with pytest.raises(FinishedError):
        add_photo(check, upload(), sam)
    with pytest.raises(FinishedError):
        remove_photo(photo)
    assert Photo.objects.get() == photo
