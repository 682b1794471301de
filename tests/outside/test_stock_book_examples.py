"""Published examples of the margin scheme, bought and sold through the shop's own stock book."""

import datetime as dt
from decimal import Decimal

import pytest
from django.utils import timezone

from quotes.pool.verbs.set_up_country import set_up_country
from quotes.sales.models import Paper
from quotes.sales.selectors.book import Days, book_of
from quotes.sales.selectors.learning import learned_from
from quotes.sales.selectors.period import vat_aid
from quotes.sales.verbs.buy import Bought, buy
from quotes.sales.verbs.sell import sell
from tests.factories.people import UserFactory
from tests.factories.sales import deal, decided, released
from tests.factories.shop import ShopFactory
from tests.pdfs import words_of
from workshop.shop.models import Shop

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _today(monkeypatch):
    """Let it be the 1st of June 2026."""
    monkeypatch.setattr(timezone, "localdate", lambda *_: dt.date(2026, 6, 1))


@pytest.fixture
def dealt():
    """Buy for one price and sell for another in a country, under its ready-made rates."""

    def run(country, paid, price, **fields):
        ShopFactory.create()
        shop, _ = set_up_country(country) if country else (Shop.objects.get(), None)
        by = UserFactory.create(manager=True)
        bought = {
            "bought_on": dt.date(2026, 2, 3),
            "price": Decimal(paid),
            "seller_name": "A Seller",
            "seller_address": "Somewhere",
            "payment": "cash",
            "unchecked_reason": "an example",
        }
        row = buy(decided(price=paid, **fields), Bought(**bought), by=by, shop=shop)
        return sell(released(row), deal(price=Decimal(price)), by=by, shop=shop)

    return run


# country, bought for, sold for, margin, VAT
EXAMPLES = [
    # Haufe, example to § 25a UStG: a used car, 2 000 to 2 595 at 19 %, taxable 500
    ("DE", "2000", "2595", "595", "95.00"),
    # goselfemployed.co, margin scheme page: a table, 500 to 1 500; it prints 166.70 by 16.67 %
    ("GB", "500", "1500", "1000", "166.67"),
    # vatforum.co.uk 55951, restating HMRC Notice 718: 600 to 900
    ("GB", "600", "900", "300", "50.00"),
    # VAT Consolidation Act 2010 s. 87 (Revenue's notes): 23/123 of the margin; figures computed
    ("IE", "600", "723", "123", "23.00"),
]


@pytest.mark.parametrize(("country", "paid", "price", "margin", "vat"), EXAMPLES)
def test_the_margin_and_the_vat_in_it(dealt, country, paid, price, margin, vat):
    sale = dealt(country, paid, price)
    assert (sale.margin, sale.vat) == (Decimal(margin), Decimal(vat))


def test_a_restorer_paid_500_does_not_lower_the_margin(dealt):
    # goselfemployed.co, margin scheme page: restoration costs are ignored
    sale = dealt("GB", "500", "1500", refurbishment_cost=Decimal(500))
    assert (sale.margin, sale.vat) == (1000, Decimal("166.67"))


def test_a_loss_bears_no_vat_and_stands_in_the_stock_book(dealt):
    # marcusward.co, April 2015; goselfemployed.co: not offset under the individual scheme
    loss = dealt("GB", "300", "220")
    gain = dealt("", "600", "900")
    assert (loss.margin, loss.vat, gain.vat) == (-80, 0, 50)
    book = book_of(Days())
    assert [row.margin for row in book.rows] == [-80, 300]
    assert book.sums.vat == 50


def test_bought_600_sold_900_fills_the_boxes(dealt):
    # HMRC Notice 718, VAT return section, as restated by vatforum.co.uk 55951
    dealt("GB", "600", "900")
    boxes = vat_aid(Days()).boxes
    assert (boxes.box_1, boxes.box_6, boxes.box_7) == (50, 850, 600)
    assert (boxes.box_8, boxes.box_9) == (0, 0)


@pytest.mark.parametrize(
    ("country", "words", "sign"),
    [
        # Directive 2006/112/EC art 325 and 226(14): no VAT shown, the words instead
        ("GB", "second-hand goods", "£50.00"),
        ("DE", "Gebrauchtgegenstände/Sonderregelung", "47,90"),
        ("IE", "argin", "€56.10"),
    ],
)
def test_the_invoice_says_the_countrys_words_and_shows_no_vat(dealt, country, words, sign):
    text = words_of(Paper.objects.get(sale=dealt(country, "600", "900")).pdf)
    assert words in text
    assert sign not in text
    assert "Without VAT" not in text


def test_profit_follows_the_closed_form(dealt):
    # profit = (S − P)/(1 + r) − C − F while S ≥ P: here no work, 2 % of reserve
    sale = dealt("GB", "600", "900")
    (found,) = learned_from([sale], Shop.objects.get())
    assert found.outcome.profit == Decimal(300) / Decimal("1.2") - Decimal(18)
