"""Part of a price paid back after the sale: the VAT of each scheme, the book, the papers, pages."""

import datetime as dt
from decimal import Decimal

import pytest
from django.urls import reverse

from quotes.pool.models import EntryKind, PoolEntry, PoolReturn
from quotes.pool.selectors import current_pool, pool_page
from quotes.provenance.models import RetentionKind
from quotes.provenance.retention.plan import plan_on
from quotes.resale.models import Comparable
from quotes.sales.errors import SalesError
from quotes.sales.models import Paper, Reduction
from quotes.sales.selectors.book import Days, book_of
from quotes.sales.selectors.learning import learned_page
from quotes.sales.selectors.left import left_of
from quotes.sales.selectors.listing import rows_for_list
from quotes.sales.selectors.period import vat_aid
from quotes.sales.verbs.sell import Extra
from tests.factories.people import sign_in
from tests.factories.pool import british_pool, entry
from tests.factories.provenance import rules
from tests.factories.sales import LEGEND, in_stock, reduced, returned, sold, trading_shop
from tests.pdfs import words_of
from workshop.bikes.models import Bike, Stage

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop")]
ALL = Days()
EARLY = Days(dt.date(2026, 1, 1), dt.date(2026, 3, 10))
LATE = Days(dt.date(2026, 3, 11), dt.date(2026, 12, 31))
LOCK = [Extra("Lock", Decimal(36))]


def ordinary(**fields):
    """Return a bike sold under ordinary VAT."""
    return sold(in_stock(price="600", seller_invoice="77", vat_shown=True), **fields)


# the VAT of each scheme


def test_under_the_margin_scheme_the_selling_price_falls():
    sale = sold(in_stock(price="600"), price="900")
    made = reduced(sale, "60")
    assert (made.number, made.amount, made.vat, made.left) == ("CN0001", 60, 10, 840)
    left = left_of(sale)
    assert (left.price, left.margin, left.vat, left.total) == (840, 240, 40, 840)
    assert Bike.objects.get().stage == Stage.SOLD


def test_below_the_purchase_price_no_more_vat_falls_away_than_was_due():
    sale = sold(in_stock(price="600"), price="900")
    assert reduced(sale, "400").vat == 50
    assert (left_of(sale).margin, left_of(sale).vat) == (-100, 0)
    assert reduced(sale, "10").vat == 0


def test_under_ordinary_vat_that_in_the_amount_falls_away():
    made = reduced(ordinary(price="900"), "60")
    assert (made.vat, left_of(made.sale).vat) == (10, 140)


def test_pooled_the_sales_of_the_period_fall(shop):
    british_pool()
    sale = sold(in_stock(price="400", pooled=True), price="700")
    made = reduced(sale, "60")
    assert (made.vat, made.pool_entry.kind, made.pool_entry.amount) == (0, EntryKind.REDUCED, 60)
    page = pool_page(current_pool(), shop, dt.date(2026, 5, 20))
    period = page.period_from(dt.date(2026, 1, 1))
    assert (period.result.moves.sales, period.result.period.vat) == (640, 40)


def test_what_was_sold_along_bears_its_own_vat():
    sale = sold(price="900", extras=LOCK)
    made = reduced(sale, "12", position=2)
    assert (made.vat, made.left) == (2, 24)
    left = left_of(sale)
    assert (left.price, left.total, left.vat) == (900, 924, 50)


def test_not_registered_there_is_no_vat():
    trading_shop(vat_registered=False)
    made = reduced(sold(price="900", extras=LOCK), "12", position=2)
    assert made.vat == 0


# how much, how often, when


def test_several_are_allowed_up_to_what_was_paid_and_no_more():
    sale = sold(in_stock(price="600"), price="900")
    reduced(sale, "500")
    with pytest.raises(SalesError, match=r"No more than £400\.00 is left"):
        reduced(sale, "400.01")
    reduced(sale, "400")
    assert left_of(sale).total == 0
    with pytest.raises(SalesError, match=r"No more than £0\.00"):
        reduced(sale, "0.01")
    assert Reduction.objects.count() == 2


def test_the_limit_is_that_of_its_line():
    sale = sold(price="900", extras=LOCK)
    with pytest.raises(SalesError, match=r"No more than £36\.00"):
        reduced(sale, "37", position=2)


@pytest.mark.parametrize(
    ("amount", "fields", "words"),
    [
        ("0", {}, "above zero"),
        ("5", {"reason": " "}, "Say why"),
        ("5", {"reduced_on": dt.date(2026, 3, 4)}, "between the sale"),
        ("5", {"reduced_on": dt.date(2026, 5, 21)}, "between the sale"),
    ],
)
def test_it_needs_an_amount_a_reason_and_a_day(amount, fields, words):
    with pytest.raises(SalesError, match=words):
        reduced(sold(), amount, **fields)
    assert not Reduction.objects.exists()


def test_after_a_return_nothing_more_is_paid_back():
    sale = sold()
    returned(sale)
    with pytest.raises(SalesError, match="taken back"):
        reduced(sale)


def test_numbers_run_on_with_those_of_whole_credit_notes():
    sale = sold()
    reduced(sale)
    assert returned(sale).number == "CN0002"


def test_a_line_of_another_invoice_is_refused():
    other, sale = sold(extras=LOCK), sold()
    with pytest.raises(SalesError, match="another invoice"):
        reduced(sale, "5", line=other.lines.get(position=2))


# taking back what is left


def test_taking_back_pays_what_is_left_and_says_so():
    sale = sold(in_stock(price="600"), price="900", extras=LOCK)
    reduced(sale, "60")
    note = returned(sale)
    text = words_of(Paper.objects.get(credit_note=note).pdf)
    for words in ("£876.00", "£840.00", "Paid back before: £60.00, with CN0001", LEGEND):
        assert words in text
    sums = book_of(ALL).sums
    assert (sums.price, sums.margin, sums.vat) == (0, 0, 0)
    assert all((kind.sales, kind.vat) == (0, 0) for kind in vat_aid(ALL).kinds)


def test_it_is_not_taken_back_before_the_day_it_was_reduced():
    sale = sold()
    reduced(sale)
    with pytest.raises(SalesError, match="not before"):
        returned(sale, returned_on=dt.date(2026, 3, 19))


def test_taking_back_takes_every_entry_of_the_pool_back():
    british_pool()
    sale = sold(in_stock(price="400", pooled=True), price="700")
    reduced(sale, "60")
    returned(sale)
    sums = dict.fromkeys(EntryKind, Decimal(0))
    for kind, amount in PoolEntry.objects.values_list("kind", "amount"):
        sums[EntryKind(kind)] += amount
    assert (sums[EntryKind.SALE], sums[EntryKind.REDUCED], sums[EntryKind.PURCHASE]) == (0, 0, 400)


# the pool


def test_a_declared_period_asks_for_a_later_day():
    british_pool()
    sale = sold(in_stock(price="400", pooled=True), price="700")
    PoolReturn.objects.create(
        starts_on=dt.date(2026, 1, 1),
        ends_on=dt.date(2026, 3, 31),
        rate="0.2",
        sales=700,
        purchases=400,
        margin=300,
        vat=50,
        carried=0,
        by=sale.by,
    )
    with pytest.raises(SalesError, match="have been declared"):
        reduced(sale, "60")
    made = reduced(sale, "60", reduced_on=dt.date(2026, 4, 2))
    assert made.pool_entry.date == dt.date(2026, 4, 2)


def test_what_was_entered_in_the_pool_by_hand_is_not_counted_twice():
    british_pool()
    sale = sold(in_stock(price="400", pooled=True), price="700")
    by_hand = entry("reduced", "2026-03-20", "60", bike=sale.purchase.bike)
    assert reduced(sale, "60").pool_entry == by_hand
    assert reduced(sale, "60").pool_entry != by_hand


def test_a_pooled_bike_that_is_here_has_no_price_to_reduce():
    british_pool()
    row = in_stock(price="400", pooled=True)
    with pytest.raises(Exception, match="has not been sold out of the pool"):
        entry("reduced", "2026-03-20", "60", bike=row.bike)


# the book, the VAT return, what is learned


def test_the_book_has_a_row_of_it_on_its_day():
    sale = sold(in_stock(price="600"), price="900")
    before = book_of(EARLY)
    reduced(sale, "60")
    assert book_of(EARLY) == before
    (row,) = book_of(LATE).rows
    assert (row.invoice, row.price, row.margin, row.vat) == ("CN0001", -60, -60, -10)
    assert (row.purchase_price, row.remark) == (None, "part of SI0001 paid back: a scratch")
    sums = book_of(ALL).sums
    assert (sums.price, sums.margin, sums.vat) == (840, 240, 40)


def test_what_was_sold_along_is_not_in_the_book_but_in_the_return():
    sale = sold(in_stock(price="600"), price="900", extras=LOCK)
    reduced(sale, "12", position=2)
    assert [row.price for row in book_of(LATE).rows] == []
    kinds = {kind.kind: kind for kind in vat_aid(ALL).kinds}
    assert (kinds["extra"].sales, kinds["extra"].vat) == (24, 4)
    assert (kinds["margin"].sales, kinds["margin"].vat, kinds["margin"].sold) == (900, 50, 1)


def test_the_vat_return_counts_the_bike_once_and_what_is_left_of_it():
    reduced(ordinary(price="900"), "60")
    aid = vat_aid(ALL)
    (kind,) = aid.kinds
    assert (kind.sold, kind.sales, kind.vat) == (1, 840, 140)
    assert (aid.boxes.box_1, aid.boxes.box_6) == (140, 700)


def test_what_is_learned_rests_on_what_is_left(shop):
    sale = sold(in_stock(price="600"), price="900", fees_net=Decimal(0))
    (before,) = learned_page(shop).rows
    reduced(sale, "60")
    (after,) = learned_page(shop).rows
    assert (before.outcome.price, after.outcome.price) == (900, 840)
    # 60 less, of it 10 VAT, and 2 % of the price less in the warranty reserve
    assert before.outcome.profit - after.outcome.profit == Decimal("48.80")


def test_a_pooled_one_is_reckoned_at_what_is_left(shop):
    british_pool()
    sale = sold(in_stock(price="400", pooled=True), price="700", fees_net=Decimal(0))
    (before,) = learned_page(shop).rows
    reduced(sale, "60")
    (after,) = learned_page(shop).rows
    assert before.outcome.profit - after.outcome.profit == Decimal("48.80")


def test_the_comparable_stands_at_what_is_left_and_goes_at_nothing():
    sale = sold(price="900")
    reduced(sale, "60")
    assert Comparable.objects.get().price == 840
    reduced(sale, "840")
    assert not Comparable.objects.exists()


def test_the_list_shows_what_is_left():
    sale = sold(price="900", extras=LOCK)
    reduced(sale, "60")
    reduced(sale, "12", position=2)
    assert rows_for_list().get().sold_for == 840
    returned(sale)
    assert rows_for_list().get().sold_for is None


def test_the_buyers_name_is_due_from_the_last_day():
    rules(book_buyer=72)
    sale = sold()
    reduced(sale)
    buyer = RetentionKind.BOOK_BUYER
    assert plan_on(dt.date(2032, 3, 20)).pks(buyer) == []
    assert plan_on(dt.date(2032, 3, 21)).pks(buyer) == [sale.buyer.pk]


# papers


def test_the_credit_note_under_the_margin_scheme_shows_no_vat():
    made = reduced(sold(price="900"), "60")
    text = words_of(made.paper.pdf)
    for words in ("Credit note", "CN0001", "For part of invoice SI0001", "£60.00", "a scratch"):
        assert words in text
    assert LEGEND in text
    assert "£10.00" not in text


def test_the_credit_note_under_ordinary_vat_shows_it():
    made = reduced(ordinary(price="900"), "60")
    assert "£50.00 without it, £10.00 VAT, £60.00 together" in words_of(made.paper.pdf)


def test_that_of_something_sold_along_bears_no_words_of_the_margin_scheme():
    made = reduced(sold(price="900", extras=LOCK), "12", position=2)
    text = words_of(made.paper.pdf)
    assert LEGEND not in text
    assert "£10.00 without it, £2.00 VAT, £12.00 together" in text


# pages


def test_from_the_row_to_the_credit_note(client):
    sale = sold(price="900")
    sign_in(client, manager=True)
    address = reverse("sales:reduce", args=(sale.number,))
    row = reverse("sales:row", args=(sale.purchase.number,))
    assert address in client.get(row).content.decode()
    page = client.get(address).content.decode()
    assert "not tax advice" in page
    line = sale.lines.get().pk
    form = {"line": line, "amount": "60", "reduced_on": "2026-03-20", "reason": "a scratch"}
    assert client.post(address, form | {"amount": "901"}).status_code == 422
    assert client.post(address, form).url == row
    page = client.get(row).content.decode()
    for words in ("£60.00", "a scratch", "£840.00", "CN0001"):
        assert words in page
    paper = client.get(reverse("sales:credit_note", args=("CN0001",)))
    assert paper["Content-Type"] == "application/pdf"


def test_with_things_sold_along_the_page_asks_of_which(client):
    sale = sold(price="900", extras=LOCK)
    sign_in(client, manager=True)
    page = client.get(reverse("sales:reduce", args=(sale.number,))).content.decode()
    assert "Lock" in page


def test_nothing_left_offers_nothing(client):
    sale = sold(price="900")
    reduced(sale, "900")
    sign_in(client, manager=True)
    page = client.get(reverse("sales:row", args=(sale.purchase.number,))).content.decode()
    assert reverse("sales:reduce", args=(sale.number,)) not in page


def test_reading_costs_the_same_however_many(django_assert_max_num_queries):
    sale = sold()
    reduced(sale, "1")
    with django_assert_max_num_queries(7):
        book_of(ALL), vat_aid(ALL)
    for _ in range(4):
        reduced(sale, "1")
    reduced(sold(), "1")
    with django_assert_max_num_queries(7):
        book_of(ALL), vat_aid(ALL)
