"""The index's migration, taken back and made again."""

import pytest
from django.core.management import call_command
from django.db import connection

from inventory.parts.models import Part
from inventory.search.selectors import begun, has_index, parts_found
from tests.factories.parts import PartFactory

pytestmark = pytest.mark.django_db(transaction=True)


def names():
    """Return what the database keeps for the search, by name."""
    catalogue = (
        "SELECT name FROM sqlite_master"
        if connection.vendor == "sqlite"
        else "SELECT indexname FROM pg_indexes"
    )
    with connection.cursor() as cursor:
        cursor.execute(catalogue)
        return {name for (name,) in cursor.fetchall() if name.startswith("search_")}


def test_it_leaves_nothing_behind_and_takes_in_what_is_there():
    before = names()
    assert {"search_part", "search_article"} <= before
    try:
        call_command("migrate", "search", "zero", verbosity=0)
        assert names() == set()
        part = PartFactory.create(name="Saddle")
        assert list(parts_found(Part.objects.all(), "sad")) == [part]
    finally:
        call_command("migrate", "search", verbosity=0)
    assert names() == before
    assert has_index("default")
    assert list(begun(Part.objects.all(), ["sad"])) == [part]
