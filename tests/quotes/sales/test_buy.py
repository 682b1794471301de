"""Buying a bike into stock: the row, the scheme, the receipt, and what is refused."""

import datetime as dt
from decimal import Decimal

import pytest

from quotes.buyin.models import MarginCheck
from quotes.pool.models import PoolEntry
from quotes.sales.errors import SalesError
from quotes.sales.models import Paper, Party, Purchase
from quotes.sales.selectors.standing import check_to_enter, checks_to_enter, stock_of
from tests.factories.bikes import BikeFactory
from tests.factories.pool import british_pool, entry
from tests.factories.provenance import ADDRESS, NAME, passed, refused
from tests.factories.sales import bought, decided, sold, trading_shop
from tests.factories.shop import VatRateFactory
from tests.pdfs import words_of
from workshop.bikes.models import Bike, Stage
from workshop.shop.models import VatRate

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop")]


def test_a_purchase_opens_a_row_with_all_the_book_asks_for():
    bike = BikeFactory.create(stage=Stage.INSPECTED, frame_number="AB-123")
    row = bought(bike, price="600")
    assert (row.number, row.receipt_no, row.document_no) == ("S0001", "PR0001", "PR0001")
    assert (row.price, row.scheme, row.vat_shown, row.input_vat) == (600, "margin", False, 0)
    assert row.bought_on == dt.date(2026, 2, 3)
    assert row.description == "Larkfold Commuter 6, folding bike, 2019, dark green"
    assert row.frame_number == "AB-123"
    assert (row.seller.name, row.seller.address) == ("Ada Moss", "3 Mill Row\nNowhere")
    assert stock_of(bike) == row


def test_vat_on_a_sellers_invoice_needs_a_rate_in_force_on_the_day():
    trading_shop()
    VatRate.objects.update(valid_from=dt.date(2026, 2, 4))
    with pytest.raises(SalesError, match="no standard rate of VAT"):
        bought(vat_shown=True, seller_invoice="9")
    assert not Purchase.objects.exists()
    assert bought(price="600").vat_rate == 0


def test_a_bike_without_frame_number_says_why():
    bike = BikeFactory.create(
        stage=Stage.INSPECTED, frame_number="", frame_number_missing="painted over"
    )
    assert bought(bike).frame_number == "none: painted over"


def test_the_receipt_is_kept_and_says_what_the_seller_signs():
    row = bought(price="1234.50")
    paper = Paper.objects.get(purchase=row)
    text = words_of(paper.pdf)
    for words in (
        "Purchase receipt",
        "PR0001",
        "Ada Moss",
        "3 Mill Row",
        "£1,234.50",
        "3 February 2026",
        row.frame_number,
        "S0001",
        "no VAT is charged",
    ):
        assert words in text
    assert len(paper.sha256) == 64


def test_a_traders_invoice_takes_the_place_of_our_receipt():
    row = bought(seller_invoice="2026/17")
    assert (row.receipt_no, row.document_no, row.scheme) == (None, "2026/17", "margin")
    assert not Paper.objects.exists()
    assert bought().receipt_no == "PR0001"


def test_with_vat_shown_it_is_not_for_the_margin_scheme():
    # gov.uk, VAT margin schemes: not eligible are goods bought with VAT shown on the invoice
    row = bought(price="600", seller_invoice="2026/17", vat_shown=True)
    assert (row.scheme, row.vat_rate, row.input_vat) == ("ordinary", Decimal("0.2"), 100)


def test_a_shop_that_is_not_registered_buys_without_vat():
    trading_shop(vat_registered=False, resale_scheme="none")
    row = bought(price="600", seller_invoice="2026/17", vat_shown=True)
    assert (row.scheme, row.input_vat) == ("none", 0)


def test_the_rate_is_that_of_the_day():
    VatRateFactory.create(rate=Decimal("0.175"), valid_from=dt.date(2010, 1, 1))
    row = bought(price="600", seller_invoice="1", vat_shown=True, bought_on=dt.date(2010, 12, 31))
    assert (row.vat_rate, row.input_vat) == (Decimal("0.175"), Decimal("89.36"))


def test_who_sold_it_comes_from_the_provenance():
    bike = BikeFactory.create(stage=Stage.INSPECTED, customer__name=NAME, customer__address=ADDRESS)
    check = passed(bike)
    row = bought(bike, unchecked_reason="")
    assert row.provenance == check


def test_without_a_passed_provenance_a_reason_is_asked_for():
    with pytest.raises(SalesError, match=r"has not been checked.*say why"):
        bought(unchecked_reason=" ")
    assert not Purchase.objects.exists()


def test_a_refused_provenance_ends_it():
    bike = BikeFactory.create(stage=Stage.INSPECTED, customer__address=ADDRESS)
    refused(bike)
    with pytest.raises(SalesError, match="Refused on"):
        bought(bike, unchecked_reason="all the same")


# fields, what is said
REFUSED = [
    ({"bought_on": dt.date(2026, 5, 21)}, "not come yet"),
    ({"price": Decimal(-1)}, "below zero"),
    ({"seller_name": " "}, "name and address"),
    ({"seller_address": ""}, "name and address"),
    ({"vat_shown": True}, "number of the seller’s invoice"),
]


@pytest.mark.parametrize(("fields", "words"), REFUSED)
def test_what_the_book_would_lack_is_refused(fields, words):
    check = decided()
    with pytest.raises(SalesError, match=words):
        bought(check=check, **{"price": Decimal(600)} | fields)
    assert not Purchase.objects.exists()
    assert not Party.objects.exists()


def test_a_decision_opens_one_row_only():
    row = bought()
    with pytest.raises(SalesError, match="already"):
        bought(check=row.check_made)


def test_a_bike_in_stock_is_not_bought_again():
    row = bought()
    again = decided(row.bike)
    with pytest.raises(SalesError, match="already"):
        bought(check=again)
    assert check_to_enter(row.bike) is None


def test_what_was_sold_can_be_bought_again():
    sale = sold()
    bike = sale.purchase.bike
    Bike.objects.filter(pk=bike.pk).update(stage=Stage.INSPECTED)
    row = bought(Bike.objects.get(pk=bike.pk), bought_on=dt.date(2026, 4, 1))
    assert (row.number, stock_of(bike)) == ("S0002", row)


def test_only_a_decision_to_buy_opens_a_row():
    check = decided()
    MarginCheck.objects.filter(pk=check.pk).update(decision="leave")
    with pytest.raises(SalesError, match="not decided to buy"):
        bought(check=check)


def test_decisions_wait_until_they_are_entered():
    check = decided()
    other = decided()
    assert set(checks_to_enter()) == {check, other}
    bought(check=check)
    assert list(checks_to_enter()) == [other]
    Bike.objects.filter(pk=other.bike_id).update(stage=Stage.LEFT)
    assert not checks_to_enter().exists()


# global accounting


def test_a_pooled_bike_stands_in_the_pool_once():
    british_pool()
    row = bought(price="400", pooled=True)
    made = PoolEntry.objects.get()
    assert (row.pool_entry, made.kind, made.amount, made.bike) == (made, "purchase", 400, row.bike)


def test_what_was_entered_into_the_pool_by_hand_is_taken_for_it():
    british_pool()
    bike = BikeFactory.create(stage=Stage.INSPECTED)
    made = entry("purchase", "2026-02-03", "400", bike=bike)
    assert bought(bike, price="400", pooled=True).pool_entry == made
    assert PoolEntry.objects.count() == 1


def test_another_price_by_hand_is_refused():
    british_pool()
    bike = BikeFactory.create(stage=Stage.INSPECTED)
    entry("purchase", "2026-02-03", "390", bike=bike)
    with pytest.raises(SalesError, match=r"entered by hand at £390\.00"):
        bought(bike, price="400", pooled=True)


def test_a_dear_bike_is_not_pooled():
    british_pool()
    with pytest.raises(SalesError, match=r"more than £500\.00"):
        bought(price="500.01", pooled=True)
    assert not Purchase.objects.exists()


def test_only_the_margin_scheme_is_pooled():
    british_pool()
    with pytest.raises(SalesError, match="Only a bike under the margin scheme"):
        bought(price="400", pooled=True, vat_shown=True, seller_invoice="7")
