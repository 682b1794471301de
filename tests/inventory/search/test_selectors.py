"""Parts found by words: the same on every database, with its index and without."""

import datetime as dt

import pytest
from django.db import connection

from inventory.parts.models import Part
from inventory.search.indexing import keep_in_step
from inventory.search.selectors import begun, begun_by_many, has_index, parts_found, within
from inventory.search.words import MOST_WORDS, words_of
from inventory.suppliers.models import SupplierPart
from tests.factories.longstock import long_stock
from tests.factories.parts import PartFactory
from tests.factories.suppliers import ArticleFactory, SupplierFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def shelf():
    """Parts with all that they are found by."""
    hub = PartFactory.create(code="hub-front-74", name="Front hub, 74 mm", place="A-12")
    PartFactory.create(code="tube-16x1.75", name="Inner tube 16×1.75", gtin="6291041500213")
    PartFactory.create(code="pad-x3", name="Überlänge Blöcke", note="O’Neill’s favourite_blocks")
    PartFactory.create(code="cable", name="Brake cable")
    maker = SupplierFactory.create()
    ArticleFactory.create(supplier=maker, code="WH/0074-B", name="Nabe vorn, schwarz", part=hub)
    ended = {"valid_until": dt.date(2026, 3, 1)}
    ArticleFactory.create(supplier=maker, code="ENDED-9", name="Gone", part=hub, **ended)
    ArticleFactory.create(supplier=maker, code="NOBODYS", name="Brake cable, theirs")


def codes(rows):
    return [part.code for part in rows.order_by("code")]


FOUND = [
    ("hub", ["hub-front-74"]),
    ("HUB", ["hub-front-74"]),
    ("fro hu", ["hub-front-74"]),
    ("hub-front-74", ["hub-front-74"]),
    ("74", ["hub-front-74"]),
    ("a-12", ["hub-front-74"]),
    ("16x1.75", ["tube-16x1.75"]),
    ("16×1.75", ["tube-16x1.75"]),
    ("629104", ["tube-16x1.75"]),
    ("überl", ["pad-x3"]),
    ("ÜBERL blö", ["pad-x3"]),
    ("uberl", []),
    ("neill", ["pad-x3"]),
    ("favourite blocks", ["pad-x3"]),
    ("wh/0074-b", ["hub-front-74"]),
    ("0074", ["hub-front-74"]),
    ("nabe", ["hub-front-74"]),
    ("front schw", ["hub-front-74"]),
    ("ended", []),
    ("nobodys", []),
    ("brake", ["cable"]),
    ("hub cable", []),
    ("hub & ! | :* <-> cable", []),
    ("hub:* | cable", []),
    ("NEAR(hub cable)", []),
    ("name:hub", []),
    ("hub' OR 1=1 --", []),
    ('"hub"', ["hub-front-74"]),
    ("hub\0front", ["hub-front-74"]),
]


@pytest.mark.usefixtures("shelf")
@pytest.mark.parametrize(("text", "expected"), FOUND)
def test_every_word_begins_one_of_the_part_s_or_of_a_supplier_s(text, expected):
    assert has_index("default")
    assert codes(begun(Part.objects.all(), words_of(text))) == expected
    assert codes(begun_by_many(Part.objects.all(), words_of(text))) == expected


def test_as_much_is_found_where_there_is_more_than_is_told_by_keys(monkeypatch):
    monkeypatch.setattr("inventory.search.selectors.MOST_KEYS", 3)
    parts = long_stock(40)
    spokes = [part.code for part in parts if part.name.startswith("Spoke")]
    assert len(spokes) > 4
    assert codes(parts_found(Part.objects.all(), "s p spo")) == spokes
    assert codes(parts_found(Part.objects.exclude(code=spokes[0]), "spoke")) == spokes[1:]
    sold = [part.code for part in parts[::10]]
    assert codes(parts_found(Part.objects.all(), "spei")) == sold
    assert codes(parts_found(Part.objects.all(), "p")) == [part.code for part in parts]


@pytest.mark.usefixtures("shelf")
@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("ube", ["tube-16x1.75"]),
        ("041500", ["tube-16x1.75"]),
        ("chwar", ["hub-front-74"]),
        ("ont ub", ["hub-front-74"]),
        ("’neil", ["pad-x3"]),
        ("vourit", ["pad-x3"]),
        ("%", []),
        ("nothing like it", []),
        ("", ["cable", "hub-front-74", "pad-x3", "tube-16x1.75"]),
        (" \0 ", ["cable", "hub-front-74", "pad-x3", "tube-16x1.75"]),
    ],
)
def test_where_nothing_begins_so_the_words_may_stand_anywhere(text, expected):
    assert codes(parts_found(Part.objects.all(), text)) == expected


@pytest.mark.usefixtures("shelf")
def test_only_the_rows_given_are_searched():
    rows = Part.objects.exclude(code="cable")
    assert codes(parts_found(rows, "brake")) == []


@pytest.mark.usefixtures("shelf")
def test_a_part_found_twice_stands_there_once():
    ArticleFactory.create(code="HUB-1", part=Part.objects.get(code="hub-front-74"))
    assert codes(parts_found(Part.objects.all(), "hub")) == ["hub-front-74"]


def test_a_text_is_parted_wherever_there_is_neither_letter_nor_figure():
    assert words_of("Hub, front_74/ÜB (16×1.75) hub Hub") == [
        "Hub", "front", "74", "ÜB", "16", "1", "75", "hub",
    ]  # fmt: skip
    assert len(words_of(" ".join(map(str, range(100))))) == MOST_WORDS


# kept in step


def test_the_index_follows_what_is_entered_changed_and_deleted():
    def found(text):
        return codes(begun(Part.objects.all(), [text]))

    part = PartFactory.create(code="one", name="Saddle")
    assert found("sad") == ["one"]
    part.name = "Grips"
    part.save()
    assert (found("sad"), found("gri")) == ([], ["one"])
    Part.objects.filter(pk=part.pk).update(name="Pedal", place="C3")
    assert (found("gri"), found("ped"), found("c3")) == ([], ["one"], ["one"])
    article = ArticleFactory.create(code="ZZ9")
    assert found("zz9") == []
    SupplierPart.objects.filter(pk=article.pk).update(part=part)
    assert found("zz9") == ["one"]
    SupplierPart.objects.filter(pk=article.pk).update(valid_until=dt.date(2026, 9, 1))
    assert found("zz9") == []
    article.delete()
    part.history.all().delete()
    part.delete()
    assert found("ped") == []
    Part.objects.bulk_create([Part(code="two", name="Saddle", cost_net=1, price_net=2)])
    assert found("sad") == ["two"]


def lose(on_sqlite, on_postgresql):
    """Take something of the index away; the test's transaction brings it back."""
    with connection.cursor() as cursor:
        cursor.execute(on_sqlite if connection.vendor == "sqlite" else on_postgresql)


def test_a_trigger_that_a_rebuilt_table_lost_is_made_anew_and_the_index_filled():
    part = PartFactory.create(code="one", name="Saddle")
    lose("DROP TRIGGER search_part_update", "DROP INDEX search_part")
    Part.objects.filter(pk=part.pk).update(name="Grips")
    assert has_index("default") is (connection.vendor == "postgresql")
    assert codes(parts_found(Part.objects.all(), "gri")) == ["one"]
    keep_in_step("default")
    assert has_index("default")
    assert codes(begun(Part.objects.all(), ["gri"])) == ["one"]
    assert codes(begun(Part.objects.all(), ["sad"])) == []


@pytest.mark.usefixtures("shelf")
@pytest.mark.parametrize("text", ["fro hu", "nabe", "ENDED", "wh/0074", "blö"])
def test_without_an_index_the_same_is_found(text):
    before = codes(parts_found(Part.objects.all(), text))
    lose("DROP TABLE search_article", "DROP INDEX search_article")
    assert codes(parts_found(Part.objects.all(), text)) == before
    keep_in_step("default")
    assert codes(within(Part.objects.all(), text)) == before


def test_the_database_looks_words_up_in_both_indexes():
    long_stock(3000)
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
        if connection.vendor == "postgresql":
            # What was rolled back before lies about in the tables and moves the reckoned costs:
            # ask whether the index can be used, not whether it looked cheaper today.
            cursor.execute("SET LOCAL enable_seqscan = off")
    plan = begun(Part.objects.all(), ["speich"]).explain()
    assert "search_part" in plan
    assert "search_article" in plan
    assert "SCAN suppliers_supplierpart" not in plan
