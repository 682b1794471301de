"""Selling out of stock: figures, invoice, refusals, the pool, the comparable."""

import datetime as dt
from decimal import Decimal

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.parts.models import VatCode
from quotes.pool.models import MarginLegend, PoolEntry
from quotes.resale.models import Comparable, Grade
from quotes.resale.selectors.basis import resale_for
from quotes.resale.verbs.drop import drop_comparable
from quotes.sales.errors import SalesError
from quotes.sales.models import Line, Paper, Sale
from quotes.sales.selectors.standing import in_stock as rows_in_stock
from quotes.sales.verbs.sell import Extra
from quotes.sales.wording import NOT_REGISTERED
from tests.factories.bikes import BikeFactory
from tests.factories.inspections import (
    CheckFactory,
    FaultFactory,
    FindingFactory,
    InspectionFactory,
)
from tests.factories.jobcards import a_card
from tests.factories.people import UserFactory
from tests.factories.pool import british_pool, entry
from tests.factories.sales import LEGEND, bought, in_stock, returned, sold, trading_shop
from tests.factories.shop import VatRateFactory
from tests.pdfs import words_of
from workshop.bikes.models import Bike, Stage
from workshop.shop.models import VatRate

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop")]


def test_under_the_margin_scheme_vat_lies_in_the_margin():
    sale = sold(in_stock(price="600"), price="900")
    assert (sale.number, sale.price, sale.total) == ("SI0001", 900, 900)
    assert (sale.scheme, sale.vat_rate) == ("margin", Decimal("0.2"))
    assert (sale.margin, sale.vat, sale.legend) == (300, 50, LEGEND)
    assert Bike.objects.get().stage == Stage.SOLD
    assert not rows_in_stock().exists()


def test_on_a_loss_no_vat_is_due():
    sale = sold(in_stock(price="600"), price="450")
    assert (sale.margin, sale.vat) == (-150, 0)


def test_under_ordinary_vat_it_lies_in_the_price():
    row = in_stock(price="600", vat_shown=True, seller_invoice="9")
    sale = sold(row, price="900")
    assert (sale.scheme, sale.vat, sale.legend) == ("ordinary", 150, "")


def test_a_shop_that_is_not_registered_charges_none():
    trading_shop(vat_registered=False, resale_scheme="none")
    sale = sold(in_stock(price="600"), price="900")
    assert (sale.scheme, sale.vat_rate, sale.vat) == ("none", 0, 0)
    assert sale.legend == NOT_REGISTERED
    assert NOT_REGISTERED in words_of(Paper.objects.get(sale=sale).pdf)


def test_the_rate_is_that_of_the_day():
    VatRateFactory.create(code=VatCode.STANDARD, rate=Decimal("0.25"), valid_from="2026-03-05")
    row, other = in_stock(price="600"), in_stock(price="600")
    assert sold(row, sold_on=dt.date(2026, 3, 4)).vat == 50
    assert sold(other, sold_on=dt.date(2026, 3, 5)).vat == 60


def test_without_a_rate_in_force_on_the_day_nothing_is_sold_at_no_vat():
    row = in_stock(price="600")
    VatRate.objects.filter(code=VatCode.STANDARD).update(valid_from=dt.date(2026, 3, 6))
    with pytest.raises(SalesError, match="no standard rate of VAT"):
        sold(row, sold_on=dt.date(2026, 3, 5))
    assert not Sale.objects.exists()
    assert sold(row, sold_on=dt.date(2026, 3, 6)).vat == 50


def test_a_shop_that_is_not_registered_needs_no_rate():
    trading_shop(vat_registered=False, resale_scheme="none")
    row = in_stock(price="600")
    VatRate.objects.filter(code=VatCode.STANDARD).update(valid_from=dt.date(2027, 1, 1))
    assert sold(row).vat_rate == 0


def test_the_invoice_shows_no_vat_but_the_words():
    sale = sold(in_stock(price="600"), price="900")
    text = words_of(Paper.objects.get(sale=sale).pdf)
    for words in ("Invoice", "SI0001", "Ben Frost", "8 Quay", "£900.00", LEGEND, "S0001"):
        assert words in text
    for words in ("£50.00", "£300.00", "£600.00", "Without VAT", "20%"):
        assert words not in text
    assert "GB980780684" in text
    assert "warranty of 6 months" in text


def test_the_invoice_of_an_ordinary_sale_shows_its_vat():
    row = in_stock(price="600", vat_shown=True, seller_invoice="9")
    text = words_of(Paper.objects.get(sale=sold(row, price="900")).pdf)
    assert "VAT at 20%: £750.00 without it, £150.00 VAT, £900.00 together." in text
    assert LEGEND not in text


def test_what_is_sold_along_bears_its_own_vat():
    extras = [Extra("Lock", Decimal(36)), Extra("Bag", Decimal("24.99"))]
    sale = sold(in_stock(price="600"), price="900", extras=extras)
    assert (sale.total, sale.vat) == (Decimal("960.99"), 50)
    lines = list(sale.lines.values_list("gross", "vat", "vat_rate"))
    assert lines == [
        (900, 0, None),
        (36, 6, Decimal("0.2")),
        (Decimal("24.99"), Decimal("4.17"), Decimal("0.2")),
    ]
    text = words_of(Paper.objects.get(sale=sale).pdf)
    assert "£50.82 without it, £10.17 VAT, £60.99 together" in text
    assert LEGEND in text
    assert "£960.99" in text


def test_fees_follow_the_shops_rule_unless_they_are_given():
    trading_shop(selling_fee_share=Decimal("0.1"), selling_fee_net=Decimal(3))
    assert sold(price="900").fees_net == 93
    assert sold(price="900", fees_net=Decimal("12.50")).fees_net == Decimal("12.50")


def test_numbers_run_without_gaps_past_a_refusal():
    sold()
    with pytest.raises(SalesError):
        sold(price="0")
    assert sold().number == "SI0002"


# refusals


def test_a_sold_bike_is_not_sold_again():
    sale = sold()
    with pytest.raises(SalesError, match="is sold already"):
        sold(sale.purchase)
    assert Sale.objects.count() == 1


def test_a_bike_that_is_not_released_is_not_sold():
    with pytest.raises(SalesError, match="“bought in”, not released"):
        sold(bought())


def test_an_open_job_card_is_named():
    purchase = bought()
    Bike.objects.filter(pk=purchase.bike_id).update(stage=Stage.ACCEPTED)
    inspection = InspectionFactory.create(
        bike=Bike.objects.get(), finished_at="2026-01-05T10:00:00Z", finished_by=purchase.by
    )
    card = a_card(inspection=inspection)
    with pytest.raises(SalesError, match=f"Job card {card} is open"):
        sold(purchase)


def unsafe_bike():
    purchase = in_stock()
    by = UserFactory.create()
    inspection = InspectionFactory.create(
        bike=purchase.bike, finished_at="2026-01-05T10:00:00Z", finished_by=by
    )
    check = CheckFactory.create(inspection=inspection, outcome="findings")
    FindingFactory.create(
        fault=FaultFactory.create(checkpoint=check.checkpoint),
        check_made=check,
        judgement="unsafe",
    )
    return purchase


def test_what_is_unsafe_is_not_sold():
    with pytest.raises(SalesError, match="Unsafe and not put right"):
        sold(unsafe_bike())


# fields, what is said
REFUSED = [
    ({"sold_on": dt.date(2026, 5, 21)}, "not come yet"),
    ({"sold_on": dt.date(2026, 2, 2)}, "was not here yet"),
    ({"price": "0"}, "above zero"),
    ({"buyer_name": " "}, "buyer’s name"),
    ({"buyer_address": " "}, "buyer’s address"),
    ({"extras": [Extra("", Decimal(3))]}, "needs a name"),
    ({"extras": [Extra("Lock", Decimal(-3))]}, "below zero"),
]


@pytest.mark.parametrize(("fields", "words"), REFUSED)
def test_what_the_book_would_lack_is_refused(fields, words):
    row = in_stock()
    with pytest.raises(SalesError, match=words):
        sold(row, **fields)
    assert not Sale.objects.exists()
    assert Bike.objects.get().stage == Stage.RELEASED


def test_only_the_margin_scheme_asks_where_a_buyer_lives():
    row = in_stock(vat_shown=True, seller_invoice="9")
    assert sold(row, buyer_address="").scheme == "ordinary"


def test_without_the_words_of_the_margin_scheme_nothing_is_sold():
    row = in_stock()
    MarginLegend.objects.update(valid_from=dt.date(2027, 1, 1))
    shop = trading_shop()
    assert shop.vat_registered
    with pytest.raises(SalesError, match="no words for margin-scheme invoices"):
        sold(row)


# taking back


def test_a_sale_is_taken_back_whole_and_the_bike_goes_to_the_bench():
    sale = sold()
    note = returned(sale)
    assert (note.number, note.to_bench) == ("CN0001", True)
    assert Bike.objects.get().stage == Stage.BOUGHT
    assert list(rows_in_stock()) == [sale.purchase]
    text = words_of(Paper.objects.get(credit_note=note).pdf)
    for words in ("Credit note", "CN0001", "SI0001", "£900.00", "too small", LEGEND):
        assert words in text


def test_an_unused_bike_may_be_sold_again_at_once():
    sale = sold(price="900")
    returned(sale, to_bench=False)
    again = sold(sale.purchase, price="880", sold_on=dt.date(2026, 4, 9))
    assert (again.turn, again.number, again.vat) == (2, "SI0002", Decimal("46.67"))


def test_it_is_not_sold_on_a_day_before_it_came_back():
    sale = sold()
    returned(sale, to_bench=False)
    with pytest.raises(SalesError, match="not here yet"):
        sold(sale.purchase, sold_on=dt.date(2026, 4, 6))


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"reason": " "}, "Say why"),
        ({"returned_on": dt.date(2026, 3, 4)}, "between the sale and today"),
        ({"returned_on": dt.date(2026, 5, 21)}, "between the sale and today"),
    ],
)
def test_a_return_needs_a_reason_and_a_day(fields, words):
    sale = sold()
    with pytest.raises(SalesError, match=words):
        returned(sale, **fields)


def test_a_sale_is_taken_back_once():
    sale = sold()
    returned(sale)
    with pytest.raises(SalesError, match="already"):
        returned(sale)


# global accounting


def test_a_pooled_sale_is_taxed_in_the_pool_alone():
    british_pool()
    sale = sold(in_stock(price="400", pooled=True), price="700")
    assert (sale.vat, sale.margin, sale.scheme, sale.legend) == (0, 300, "margin", LEGEND)
    kinds = list(PoolEntry.objects.order_by("pk").values_list("kind", "amount"))
    assert kinds == [("purchase", 400), ("sale", 700)]
    assert sale.pool_entry.bike == sale.purchase.bike


def test_a_sale_entered_in_the_pool_by_hand_is_not_counted_twice():
    british_pool()
    row = in_stock(price="400", pooled=True)
    made = entry("sale", "2026-03-05", "700", bike=row.bike)
    assert sold(row, price="700").pool_entry == made
    assert PoolEntry.objects.count() == 2


def test_by_hand_at_another_price_it_is_refused():
    british_pool()
    row = in_stock(price="400", pooled=True)
    entry("sale", "2026-03-05", "690", bike=row.bike)
    with pytest.raises(SalesError, match=r"entered by hand at £690\.00"):
        sold(row, price="700")


def test_a_bike_that_left_the_pool_otherwise_is_refused():
    british_pool()
    row = in_stock(price="400", pooled=True)
    entry("leaving", "2026-03-05", "400", bike=row.bike)
    with pytest.raises(SalesError, match="has left the pool"):
        sold(row, price="700")


def test_after_the_shop_left_the_pool_a_bike_is_taxed_by_itself():
    british_pool()
    row = in_stock(price="400", pooled=True)
    entry("closing", "2026-03-04", "400")
    sale = sold(row, price="700")
    assert (sale.pool_entry, sale.vat) == (None, 50)


def test_taking_back_takes_the_pools_entry_back_too():
    british_pool()
    sale = sold(in_stock(price="400", pooled=True), price="700")
    note = returned(sale, to_bench=False)
    assert (note.pool_entry.reverses, note.pool_entry.amount) == (sale.pool_entry, -700)
    again = sold(sale.purchase, price="690", sold_on=dt.date(2026, 4, 10))
    assert again.pool_entry.amount == 690
    assert sum(PoolEntry.objects.filter(kind="sale").values_list("amount", flat=True)) == 690


# the comparable


def test_a_sale_is_a_comparable_marked_as_our_own():
    sale = sold(price="900", condition=Grade.AS_NEW)
    made = Comparable.objects.get()
    assert (made.price, made.kind, made.condition, made.own_sale) == (900, "sold", 5, "SI0001")
    assert (made.seen_on, made.days_on_shelf, made.make) == (sale.sold_on, 30, "Larkfold")
    basis = resale_for(BikeFactory.create(), dt.date(2026, 5, 20), trading_shop())
    assert [each.row.own_sale for each in basis.rows] == [True]


def test_it_can_be_dropped_with_a_reason_and_goes_with_the_sale():
    sale = sold()
    bike = BikeFactory.create()
    by = UserFactory.create(manager=True)
    drop_comparable(Comparable.objects.get(), bike, reason="a friend's price", by=by)
    basis = resale_for(bike, dt.date(2026, 5, 20), trading_shop())
    assert (len(basis.rows), len(basis.dropped)) == (0, 1)
    returned(sale)
    assert not Comparable.objects.exists()


def test_without_a_year_there_is_no_comparable():
    sold(in_stock(bike=BikeFactory.create(stage=Stage.INSPECTED, maker_year=None)))
    assert not Comparable.objects.exists()


# money


PENCE = st.decimals(Decimal("0.01"), 5000, places=2)


@settings(
    max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(paid=PENCE, price=PENCE, extras=st.lists(PENCE, max_size=3))
def test_the_total_is_the_sum_of_the_lines_and_vat_never_negative(monkeypatch, paid, price, extras):
    monkeypatch.setattr("quotes.sales.verbs.sell.keep_invoice", lambda *_: None)
    monkeypatch.setattr("quotes.sales.verbs.buy.keep_receipt", lambda *_: None)
    along = [Extra("Lock", each) for each in extras]
    sale = sold(in_stock(price=str(paid)), price=price, extras=along)
    lines = Line.objects.filter(sale=sale)
    assert sale.total == sum(line.gross for line in lines)
    assert sale.margin == price - paid
    assert 0 <= sale.vat <= max(Decimal(0), sale.margin)
    assert all(line.vat <= line.gross for line in lines)
