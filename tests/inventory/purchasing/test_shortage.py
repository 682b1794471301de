"""What is short against a reckoning of its own, from whom it is bought, in how many packs."""

import datetime as dt
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

import pytest
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.parts.models import Part
from inventory.purchasing.offers import Offer
from inventory.purchasing.shortage import MOST_SHOWN, shortages, shown
from inventory.purchasing.verbs.close import close
from inventory.stock import wants
from inventory.stock.models import StockLevel
from inventory.stock.verbs.reserve import reserve
from inventory.stock.wants import Want
from inventory.suppliers.models import Supplier
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory
from tests.factories.purchasing import came, drafted, ordered, sold
from tests.factories.shop import ShopFactory
from tests.factories.stock import a_key, come_in, stocked, take
from tests.factories.suppliers import SupplierFactory

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture(autouse=True)
def _printed_quickly(monkeypatch):
    monkeypatch.setattr("inventory.paper.press.pdf_of", lambda html: b"%PDF")


@pytest.fixture(autouse=True)
def waited_for(monkeypatch):
    """What is waited for in these tests; nothing where nobody says."""
    waiting = []
    monkeypatch.setattr(wants, "_sources", [lambda parts: list(waiting)])
    return waiting


def rows_of(**facts):
    """What is short, by part."""
    groups = shortages("GBP", **facts)
    return {row.part.pk: row for group in groups for row in group.rows}


def the_group(**facts):
    (group,) = shortages("GBP", **facts)
    return group


# the formula

QUANTITY = st.integers(0, 12)


@dataclass(frozen=True)
class Done:
    """What was done with a part."""

    minimum: int
    bought: int
    drawn: int
    kept: int
    waits: list[int]
    pack: int
    packs: int
    some: int
    given_up: bool
    in_draft: int


DONE = st.builds(
    Done,
    *[QUANTITY] * 4,
    st.lists(st.integers(1, 5), max_size=3),
    st.integers(1, 5),
    *[QUANTITY] * 2,
    st.booleans(),
    st.integers(0, 3),
)


def do(done, part, by):
    """Do it by the verbs, as far as it can be done; return what that leaves, counted here."""
    on_hand = reserved = on_order = 0
    if done.bought:
        come_in(part, done.bought, by=by)
        on_hand = done.bought
    if 0 < done.drawn <= on_hand:
        take(part, done.drawn, by=by)
        on_hand -= done.drawn
    if 0 < done.kept <= on_hand:
        reserve(part, quantity=D(done.kept), reference="B1", by=by, key=a_key())
        reserved = done.kept
    article = sold(part, pack=done.pack)
    if done.packs:
        order = ordered(article, packs=done.packs, by=by)
        on_order = done.packs * done.pack
        if 0 < done.some <= on_order:
            came(order, done.some, by=by)
            on_hand, on_order = on_hand + done.some, on_order - done.some
        if done.given_up and on_order:
            close(order, reason="enough", by=by)
            on_order = 0
    if done.in_draft:
        drafted(article, packs=done.in_draft, by=by)
    return reserved, on_hand, on_order


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(done=DONE)
def test_short_is_reserved_and_minimum_less_on_hand_and_on_order(db, waited_for, done):
    """Each figure is counted from what was done, and not from what is stored."""
    with transaction.atomic():
        by, part = UserFactory.create(), PartFactory.create(minimum=done.minimum)
        reserved, on_hand, on_order = do(done, part, by)
        waited_for[:] = [Want(part.pk, D(each), f"J{each}") for each in done.waits]
        row = rows_of().get(part.pk)
        transaction.set_rollback(True)
    short = reserved + sum(done.waits) + done.minimum - on_hand - on_order
    if short <= 0:
        assert row is None
        return
    assert row.short_of == short
    beyond = max(short - done.in_draft * done.pack, 0)
    assert row.to_order == beyond
    assert row.packs == -(-beyond // done.pack)


@given(
    quantity=st.decimals(0, 9999, places=2),
    pack=st.integers(1, 144),
)
def test_the_fewest_packs_that_cover_it_are_ordered(quantity, pack):
    offer = Offer(Supplier(), None, "", "x", pack, D(1))
    packs = offer.packs_for(quantity)
    assert packs * pack >= Fraction(quantity)
    assert not packs or (packs - 1) * pack < Fraction(quantity)


def test_one_that_is_short_takes_a_whole_pack():
    sold(PartFactory.create(minimum=1), pack=10)
    (row,) = rows_of().values()
    assert (row.packs, row.pieces, row.amount_net) == (1, 10, 10)


def test_a_part_out_of_use_is_not_short_and_one_with_enough_is_not():
    PartFactory.create(minimum=3, active=False)
    stocked(3, minimum=3)
    assert rows_of() == {}


# from whom


def test_the_cheapest_piece_is_bought_though_another_pack_costs_less():
    part = PartFactory.create(minimum=1)
    dear = sold(part, "2.00", pack=1)
    cheap = sold(part, "9.00", pack=10)
    group = the_group()
    assert group.supplier == cheap.supplier
    other = the_group(choices={part.pk: f"a{dear.pk}"})
    assert (other.supplier, other.rows[0].packs) == (dear.supplier, 1)
    assert the_group(choices={part.pk: "a0"}).supplier == cheap.supplier


def test_what_is_priced_in_another_currency_comes_last():
    part = PartFactory.create(minimum=1)
    sold(part, "1.00", supplier=SupplierFactory.create(currency="EUR"))
    home = sold(part, "2.00")
    assert the_group().supplier == home.supplier


def test_neither_old_prices_nor_suppliers_out_of_use_are_offered():
    part = PartFactory.create(minimum=1)
    sold(part, "1.00", valid_until=dt.date(2026, 2, 1))
    sold(part, "1.00", supplier=SupplierFactory.create(active=False))
    group = the_group()
    assert group.supplier is None
    assert group.rows[0].packs == 0


def test_groups_stand_by_name_and_what_nobody_sells_last():
    for name in ("Zeta", "alpha", "Beta"):
        sold(PartFactory.create(minimum=1), supplier=SupplierFactory.create(name=name))
    PartFactory.create(minimum=1)
    names = [str(each.supplier) for each in shortages("GBP")]
    assert names == ["alpha", "Beta", "Zeta", "None"]


@pytest.mark.parametrize(("price", "missing"), [("99.99", D("0.01")), (100, 0), (150, 0)])
def test_what_is_missing_to_free_carriage(price, missing):
    supplier = SupplierFactory.create(carriage_free_net=100)
    sold(PartFactory.create(minimum=1), price, supplier=supplier)
    assert the_group().to_free_carriage == missing


def test_a_supplier_without_a_threshold_is_not_said_to_have_one():
    sold(PartFactory.create(minimum=1), supplier=SupplierFactory.create(carriage_free_net=None))
    assert the_group().to_free_carriage is None


# who waits


def test_what_is_waited_for_stands_first_by_the_day_promised(waited_for):
    supplier = SupplierFactory.create(lead_days=1)
    names = ("a", "b", "c", "d")
    parts = [PartFactory.create(name=name, minimum=1) for name in names]
    for part in parts:
        sold(part, supplier=supplier)
    waited_for[:] = [
        Want(parts[1].pk, D(1), "no day"),
        Want(parts[2].pk, D(1), "late", dt.date(2999, 1, 2)),
        Want(parts[3].pk, D(1), "early", dt.date(2000, 1, 3)),
    ]
    group = the_group()
    assert [row.part.name for row in group.rows] == ["d", "c", "b", "a"]
    assert [row.comes_too_late for row in group.rows] == [True, False, False, False]


def test_nothing_comes_too_late_where_no_lead_time_is_known(waited_for):
    part = PartFactory.create()
    sold(part, supplier=SupplierFactory.create(lead_days=None))
    waited_for[:] = [Want(part.pk, D(1), "early", dt.date(2000, 1, 3))]
    (row,) = the_group().rows
    assert (row.comes_on, row.comes_too_late) == (None, False)


# how much it asks of the database


def many(count):
    """Make so many parts that are short, in a few queries."""
    start = Part.objects.count()
    parts = Part.objects.bulk_create(
        [
            Part(code=f"p{n}", name=f"Part {n:06}", cost_net=1, price_net=2, minimum=5)
            for n in range(start, start + count)
        ],
        batch_size=1000,
    )
    levels = [StockLevel(part=part, on_hand=3, value=3) for part in parts]
    StockLevel.objects.bulk_create(levels, batch_size=1000)


def test_it_takes_as_many_queries_for_forty_thousand_parts_as_for_ten():
    ShopFactory.create()
    sold(PartFactory.create(minimum=1))
    many(10)
    with CaptureQueriesContext(connection) as few:
        assert shown(shortages("GBP")) == 11
    many(40_000)
    with CaptureQueriesContext(connection) as queries:
        assert shown(shortages("GBP")) == MOST_SHOWN
    assert len(queries) == len(few) < 9
