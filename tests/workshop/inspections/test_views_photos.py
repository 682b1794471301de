"""Photos on the pages of the walk."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from tests.asking import text_of
from tests.factories.inspections import CheckFactory, PhotoFactory, jpeg
from tests.workshop.inspections.asking import HTMX, at
from workshop.inspections.models import Check, Photo

pytestmark = pytest.mark.django_db


class TestPhotos:
    """Photos of a checkpoint."""

    def test_taken_with_the_finding(self, sams, inspection):
        photos = [SimpleUploadedFile(f"{n}.jpg", jpeg()) for n in range(2)]
        data = {"version": 0, "faults": "hinge-crack", "photos": photos}
        sams.post(at(inspection, "main-hinge"), data)
        assert Photo.objects.count() == 2

    @pytest.mark.parametrize("more", ["", "sound/"])
    def test_a_file_that_is_no_photo_is_said_and_what_was_typed_is_kept(
        self, sams, inspection, more, settings
    ):
        data = {
            "version": 0,
            "note": "a long note",
            "photos": [
                SimpleUploadedFile("good.jpg", jpeg()),
                SimpleUploadedFile("page.pdf", b"%PDF-1.4 not a photo"),
            ],
        }
        if not more:
            data["faults"] = "hinge-crack"
        answer = sams.post(at(inspection, "main-hinge", more), data)
        assert answer.status_code == 422
        assert "“page.pdf” is not a photo" in text_of(answer)
        assert "a long note" in text_of(answer)
        assert not Check.objects.exists()
        assert not list(settings.MEDIA_ROOT.rglob("*.jpg"))

    def test_forty_megabytes_are_too_many(self, sams, inspection):
        huge = SimpleUploadedFile("huge.jpg", jpeg() + bytes(40 * 1024 * 1024))
        answer = sams.post(
            at(inspection, "main-hinge", "sound/"), {"version": 0, "note": "kept", "photos": huge}
        )
        assert answer.status_code == 422
        assert "“huge.jpg” has 40 MB" in text_of(answer)
        assert "kept" in text_of(answer)
        assert not Check.objects.exists()

    @pytest.fixture
    def check(self, inspection, hinge):
        return CheckFactory(inspection=inspection, checkpoint=hinge)

    def test_added_afterwards(self, sams, inspection, check):
        path = at(inspection, "main-hinge", "photos/")
        answer = sams.post(path, {"photos": SimpleUploadedFile("a.jpg", jpeg())})
        assert answer.url == f"{at(inspection, 'main-hinge')}#photos"
        assert check.photos.count() == 1
        assert "photo 1" in text_of(sams.get(at(inspection, "main-hinge")))

    def test_added_in_place(self, sams, inspection, check):
        part = text_of(
            sams.post(
                at(inspection, "main-hinge", "photos/"),
                {"photos": SimpleUploadedFile("a.jpg", jpeg())},
                headers=HTMX,
            )
        )
        assert "/inspections/photos/" in part
        assert "<html" not in part

    def test_a_bad_one_added_afterwards_is_said(self, sams, inspection, check):
        bad = SimpleUploadedFile("a.gif.exe", b"MZ")
        path = at(inspection, "main-hinge", "photos/")
        part = text_of(sams.post(path, {"photos": bad}, headers=HTMX))
        assert "is not a photo" in part
        assert not check.photos.exists()

    def test_none_can_be_added_where_nothing_is_recorded(self, sams, inspection):
        path = at(inspection, "main-hinge", "photos/")
        answer = sams.post(path, {"photos": SimpleUploadedFile("a.jpg", jpeg())})
        assert answer.status_code == 404

    def test_one_is_sent_to_signed_in_people_and_kept_by_their_browser_only(
        self, sams, check, client
    ):
        photo = PhotoFactory(check_made=check)
        answer = sams.get(f"/inspections/photos/{photo.pk}/")
        assert answer.headers["Content-Type"] == "image/jpeg"
        assert "private" in answer.headers["Cache-Control"]
        assert b"".join(answer.streaming_content)[:2] == b"\xff\xd8"
        client.logout()
        assert client.get(f"/inspections/photos/{photo.pk}/").status_code == 302

    def test_one_whose_file_is_gone_is_not_found(self, sams, check):
        photo = PhotoFactory(check_made=check)
        photo.image.storage.delete(photo.image.name)
        assert sams.get(f"/inspections/photos/{photo.pk}/").status_code == 404

    def test_one_may_be_taken_away(self, sams, inspection, check):
        photo = PhotoFactory(check_made=check)
        answer = sams.post(f"/inspections/photos/{photo.pk}/remove/")
        assert answer.url == f"{at(inspection, 'main-hinge')}#photos"
        assert not Photo.objects.exists()

    def test_of_a_finished_inspection_none_is_added_or_taken(self, sams, inspection, check):
        photo = PhotoFactory(check_made=check)
        sams.post(at(inspection, "finish"), {"rest_because": "x"})
        sams.post(
            at(inspection, "main-hinge", "photos/"),
            {"photos": SimpleUploadedFile("a.jpg", jpeg())},
        )
        sams.post(f"/inspections/photos/{photo.pk}/remove/")
        assert Photo.objects.get() == photo
