"""Importing comparables: read however it is written, all of it or nothing, errors by cell."""

import datetime as dt
import re
import threading
from decimal import Decimal

import pytest
from django.db import connection

from inventory.core.sheets import SheetError
from quotes.resale.importing import columns
from quotes.resale.importing.checking import LIMITS, check_file
from quotes.resale.importing.planning import plan_import
from quotes.resale.models import Comparable, Grade
from quotes.resale.verbs.import_file import CannotImportError, import_file
from tests.factories.people import UserFactory
from tests.factories.resale import ComparableFactory
from tests.factories.shop import ShopFactory

pytestmark = pytest.mark.django_db

GOOD = {
    "make": "Larkfold",
    "model": "Commuter 6",
    "frame": "folding",
    "maker's year": "2019",
    "condition": "4",
    "price": "495.00",
    "asked or sold": "sold",
    "seen on": "2025-03-14",
    "days on the shelf": "21",
    "where it was seen": "Sunday market",
}
NAMES = list(GOOD)
HEAD = ",".join(NAMES)
KEPT = {
    "make": "Larkfold",
    "model": "Commuter 6",
    "frame": "folding",
    "maker_year": 2019,
    "condition": 4,
    "price": Decimal("495.00"),
    "kind": "sold",
    "seen_on": dt.date(2025, 3, 14),
    "days_on_shelf": 21,
    "source": "Sunday market",
}


@pytest.fixture
def shop():
    return ShopFactory.create()


@pytest.fixture
def manager():
    return UserFactory.create(manager=True)


def row(**cells):
    changed = {**GOOD, **{name.replace("_", " "): cell for name, cell in cells.items()}}
    return ",".join(f'"{changed[name]}"' for name in NAMES)


def file(*rows, head=HEAD, encoding="utf-8"):
    return "\n".join([head, *rows]).encode(encoding)


def facts(data, shop):
    checked = check_file(data, shop)
    assert checked.problems == ()
    return [each for _, each in checked.good]


# what is read


def test_a_row_becomes_the_facts_of_a_comparable(shop):
    assert facts(file(row()), shop) == [KEPT]


def test_the_template_is_read_as_it_is(shop):
    assert columns.template().splitlines()[0].split(",") == [c.name for c in columns.COLUMNS]
    (found,) = facts(columns.template().encode("utf-8-sig"), shop)
    assert found == KEPT


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
def test_letters_come_through_in_every_encoding(shop, encoding):
    data = file(row(make="Café Größe", where_it_was_seen="Straße"), encoding=encoding)
    (found,) = facts(data, shop)
    assert (found["make"], found["source"]) == ("Café Größe", "Straße")


@pytest.mark.parametrize(
    ("delimiter", "words"), [(",", "commas"), (";", "semicolons"), ("\t", "tabs")]
)
def test_how_it_was_read_is_told(shop, delimiter, words):
    line = delimiter.join(cell.replace("495.00", "1.495,50") for cell in GOOD.values())
    data = file(line if delimiter != "," else row(price="1.495,50"), head=delimiter.join(NAMES))
    checked = check_file(data, shop)
    assert (checked.encoding, checked.delimiter, checked.mark) == ("UTF-8", words, "decimal comma")
    assert checked.good[0][1]["price"] == Decimal("1495.50")


def test_columns_stand_in_any_order_under_other_names_and_others_are_named(shop):
    head = "Brand;Colour;Grade;Amount;Kind;Date;Folding;Age"
    data = f"{head}\nLarkfold;red;good;400;asked;14.03.2025;yes;6\n"
    checked = check_file(data.encode(), shop)
    assert checked.unused == ("Colour",)
    (found,) = [each for _, each in checked.good]
    assert found["maker_year"] == 2019
    assert (found["condition"], found["kind"], found["frame"]) == (Grade.GOOD, "asked", "folding")
    assert (found["model"], found["days_on_shelf"], found["source"]) == ("", None, "")


@pytest.mark.parametrize(
    ("name", "cell", "field", "value"),
    [
        ("condition", "as new", "condition", 5),
        ("condition", "5 as new", "condition", 5),
        ("condition", "Poor", "condition", 1),
        ("condition", "3 fair: worn, nothing urgent", "condition", 3),
        ("frame", "Not Folding", "frame", "diamond"),
        ("frame", "diamond", "frame", "diamond"),
        ("asked or sold", "ASKING", "kind", "asked"),
        ("seen on", "14/03/2025", "seen_on", dt.date(2025, 3, 14)),
        ("seen on", "14-03-2025", "seen_on", dt.date(2025, 3, 14)),
        ("seen on", "3.4.2025", "seen_on", dt.date(2025, 4, 3)),
        ("price", "£495", "price", Decimal(495)),
        ("price", "495 GBP", "price", Decimal(495)),
        ("days on the shelf", "", "days_on_shelf", None),
        ("days on the shelf", "0", "days_on_shelf", 0),
        ("where it was seen", "  two\n lines ", "source", "two lines"),
        ("make", "<b>Larkfold</b>", "make", "<b>Larkfold</b>"),
        ("make", "لارك", "make", "لارك"),
    ],
)
def test_cells_are_read_as_people_write_them(shop, name, cell, field, value):
    (found,) = facts(file(row(**{name.replace(" ", "_"): cell})), shop)
    assert found[field] == value


# bad files: refused as a whole


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (b"", "empty"),
        (b"PK\x03\x04" + b"x" * 100, "workbook"),
        (HEAD.encode(), "no row below"),
        (b"Larkfold,Commuter 6,steel\n", "names no column"),
        (HEAD.replace("price", "cost").encode() + b"\n" + row().encode(), "Missing: “price”"),
        (HEAD.replace("maker's year", "x").encode() + b"\n" + row().encode(), "maker's year"),
        (b"make,price\nLarkfold,400\n", "Missing: “frame”, “condition”, “asked or sold”"),
        (
            HEAD.replace("model", "brand").encode() + b"\n" + row().encode(),
            "two columns for “make”",
        ),
        (file(row(), row(price="12,5")), "Write them all alike"),
        (file('"Larkfold,open'), "quotation mark is not closed"),
        (file(*[row()] * (LIMITS.rows + 1)), "more than 2,000 rows|larger than"),
        (file(row(where_it_was_seen="x" * 301)), "longer than 300"),
        ((HEAD + ",x" * 40).encode() + b"\n" + row().encode(), "50 columns"),
        (b"x" * (LIMITS.file_bytes + 1), "larger than 500 kB"),
        (file(row(make="a\x07b")), "characters"),
        (b"\xff\xfe" + HEAD.encode("utf-16-le") + b"x", "letters of this file"),
    ],
)
def test_a_file_that_is_no_table_of_comparables_is_refused(shop, data, what):
    with pytest.raises(SheetError, match=what):
        check_file(data, shop)


# bad files: told cell by cell


@pytest.mark.parametrize(
    ("name", "cell", "what"),
    [
        ("make", "", "missing"),
        ("make", "–––", "letters or figures"),
        ("make", "x" * 61, "at most 60"),
        ("make", "=HYPERLINK(1)", "formula"),
        ("model", "+1", "formula"),
        ("where it was seen", "@SUM(A1)", "formula"),
        ("where it was seen", "-2+3", "formula"),
        ("frame", "", "missing"),
        ("frame", "trike", "folding"),
        ("maker's year", "", "maker’s year, or the age"),
        ("maker's year", "2026", "from 1880 to 2025"),
        ("maker's year", "19", "from 1880"),
        ("maker's year", "about 2019", "whole figures"),
        ("condition", "", "missing"),
        ("condition", "6", "grade from 1"),
        ("condition", "0", "grade from 1"),
        ("condition", "splendid", "grade from 1"),
        ("price", "", "missing"),
        ("price", "0", "above zero"),
        ("price", "-5", "below zero"),
        ("price", "free", "not a price"),
        ("price", "=400", "not a price"),
        ("price", "€400", "another currency"),
        ("price", "99999999", "more than"),
        ("price", "NaN", "another currency|not a price"),
        ("asked or sold", "", "missing"),
        ("asked or sold", "lent", "asked"),
        ("seen on", "", "missing"),
        ("seen on", "14/14/2025", "no date"),
        ("seen on", "03/14/2025", "no date"),
        ("seen on", "14.3.25", "no date"),
        ("seen on", "2125-03-14", "still to come"),
        ("seen on", "1965-03-14", "before 1990"),
        ("days on the shelf", "-1", "greater than or equal to 0"),
        ("days on the shelf", "4000", "less than or equal to 3650"),
        ("days on the shelf", "two", "whole figures"),
    ],
)
def test_a_wrong_cell_is_named_by_row_and_column(shop, name, cell, what):
    checked = check_file(file(row(), row(**{name.replace(" ", "_"): cell})), shop)
    assert [number for number, _ in checked.good] == [2]
    (problem,) = checked.problems
    assert (problem.row, problem.column, problem.cell) == (3, name, cell)
    assert re.search(what, problem.message), problem.message


def test_a_price_that_can_be_read_two_ways_is_told_unless_the_file_tells_its_mark(shop):
    (problem,) = check_file(file(row(price="1,250")), shop).problems
    assert "can be read as 1250 or as 1.25" in problem.message
    assert [each["price"] for each in facts(file(row(price="1,250"), row(price="9.50")), shop)] == [
        Decimal(1250),
        Decimal("9.50"),
    ]


def test_every_wrong_cell_of_every_row_is_told_at_once(shop):
    bad = row(make="", price="x", condition="9")
    problems = check_file(file(bad, row(), bad), shop).problems
    assert [(each.row, each.column) for each in problems] == [
        (number, column) for number in (2, 4) for column in ("make", "condition", "price")
    ]


def test_a_price_that_spills_into_another_column_is_found(shop):
    line = "Larkfold,Commuter 6,folding,2019,4,495,00,sold,2025-03-14,21,Sunday market"
    (problem,) = check_file(file(line), shop).problems
    assert (problem.row, problem.cell) == (2, "Sunday market")
    assert "quotation marks" in problem.message


def test_a_short_row_misses_what_is_needed(shop):
    problems = check_file(file("Larkfold,Commuter 6"), shop).problems
    assert "price" in {each.column for each in problems}


def test_year_and_age_must_agree(shop):
    head = HEAD + ",age"
    assert facts(file(row() + ",6", head=head), shop) == [KEPT]
    assert facts(file(row() + ",5", head=head), shop) == [KEPT]
    (problem,) = check_file(file(row() + ",9", head=head), shop).problems
    assert problem.column == "age"
    assert "was 6 in 2025" in problem.message


# the plan


def test_what_is_here_already_and_what_is_twice_in_the_file_is_not_new(shop):
    ComparableFactory.create(price=Decimal(495), condition=4, source="heard of it")
    data = file(row(model="commuter-6"), row(price="500"), row(price="500"), row(price="505"))
    plan = plan_import(data, shop)
    assert [number for number, _ in plan.twins] == [2, 4]
    assert [number for number, _ in plan.new] == [3, 5]


def test_another_condition_day_or_kind_is_another_price(shop):
    ComparableFactory.create(price=Decimal(495))
    data = file(row(condition="3"), row(seen_on="2025-03-15"), row(asked_or_sold="asked"))
    assert len(plan_import(data, shop).new) == 3


def test_planning_runs_as_many_queries_for_many_rows_as_for_one(shop, django_assert_num_queries):
    for count in (1, 200):
        data = file(*[row(price=str(100 + at)) for at in range(count)])
        with django_assert_num_queries(1):
            plan_import(data, shop)


# adding


def test_the_rows_are_added_with_their_history_and_who_did_it(shop, manager):
    made = import_file(file(row(), row(price="500")), expected=2, by=manager, shop=shop)
    assert len(made) == 2
    kept = Comparable.objects.order_by("price")
    assert [each.price for each in kept] == [Decimal(495), Decimal(500)]
    assert {each.entered_by for each in kept} == {manager}
    assert {(each.make_key, each.model_key) for each in kept} == {("larkfold", "commuter6")}
    assert [each.history.get().history_user for each in kept] == [manager, manager]


def test_one_wrong_cell_and_nothing_is_added(shop, manager):
    data = file(*[row(price=str(at)) for at in range(1, 50)], row(price="x"))
    with pytest.raises(CannotImportError) as caught:
        import_file(data, expected=49, by=manager, shop=shop)
    assert caught.value.plan.problems[0].row == 51
    assert not Comparable.objects.exists()


def test_a_file_sent_twice_adds_its_rows_once(shop, manager):
    import_file(file(row()), expected=1, by=manager, shop=shop)
    with pytest.raises(CannotImportError) as caught:
        import_file(file(row()), expected=1, by=manager, shop=shop)
    assert caught.value.plan.new == ()
    assert Comparable.objects.count() == 1


def test_a_failure_half_way_leaves_nothing(shop, manager, monkeypatch):
    from quotes.resale.verbs import import_file as verb

    def fails_after_writing(rows, model, **options):
        model.objects.bulk_create(rows)
        raise RuntimeError

    monkeypatch.setattr(verb, "bulk_create_with_history", fails_after_writing)
    with pytest.raises(RuntimeError):
        import_file(file(row()), expected=1, by=manager, shop=shop)
    assert not Comparable.objects.exists()


def test_as_many_rows_as_are_allowed_are_added(shop, manager):
    data = file(*[row(price=str(at), where_it_was_seen="") for at in range(1, LIMITS.rows + 1)])
    made = import_file(data, expected=LIMITS.rows, by=manager, shop=shop)
    assert len(made) == Comparable.objects.count() == LIMITS.rows


@pytest.mark.django_db(transaction=True)
def test_a_file_sent_twice_at_the_same_moment_adds_its_rows_once():
    shop, by = ShopFactory.create(), UserFactory.create(manager=True)
    start, outcomes = threading.Barrier(2), []

    def send():
        start.wait()
        try:
            outcomes.append(len(import_file(file(row()), expected=1, by=by, shop=shop)))
        except CannotImportError:
            outcomes.append(0)
        finally:
            connection.close()

    threads = [threading.Thread(target=send) for _ in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(outcomes) == [0, 1]
    assert Comparable.objects.count() == 1
