"""Adds photos to a check and removes them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import partial

from django.core.files.base import ContentFile
from django.core.files.storage import Storage
from django.core.files.uploadedfile import UploadedFile
from django.db import transaction

from workshop.bikes.photos import clean_photo
from workshop.inspections.models import Check, Photo
from workshop.inspections.verbs.locking import lock_open
from workshop.people.models import User


def add_photo(check: Check, upload: UploadedFile[bytes], by: User) -> Photo:
    """Clean a photo that was uploaded and keep it with the check.

    Raises:
        PhotoError: it is too large or no photo; nothing is kept.
        FinishedError: the inspection is finished.
    """
    cleaned = clean_photo(upload)
    with transaction.atomic():
        lock_open(check.inspection)
        return keep_photos(check, [cleaned], by)[0]


def keep_photos(check: Check, cleaned: Sequence[ContentFile[bytes]], by: User) -> list[Photo]:
    """Keep cleaned photos with a check, inside the caller's transaction.

    Where one can't be kept, the files written before it are taken away again.
    """
    kept: list[Photo] = []
    try:
        for file in cleaned:
            photo = Photo(check_made=check, by=by)
            photo.image.save(file.name or "photo.jpg", file, save=False)
            kept.append(photo)
            photo.save()
    except Exception:
        for photo in kept:
            _delete_file(photo.image.storage, photo.image.name)
        raise
    return kept


@transaction.atomic
def remove_photo(photo: Photo) -> None:
    """Take a photo away; its file goes once the change is certain.

    Raises:
        FinishedError: the inspection is finished.
    """
    lock_open(photo.check_made.inspection)
    drop_photos([photo])


def drop_photos(photos: Iterable[Photo]) -> None:
    """Take photos away, inside the caller's transaction; the files go once it is certain."""
    for photo in photos:
        storage, name = photo.image.storage, photo.image.name
        photo.delete()
        transaction.on_commit(partial(_delete_file, storage, name))


def _delete_file(storage: Storage, name: str | None) -> None:
    """Delete a stored file, if there is one."""
    if name:
        storage.delete(name)
