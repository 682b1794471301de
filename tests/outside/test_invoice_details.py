"""What an invoice for a second-hand bike must say, and must not, read back from the PDF.

Sources:
- United Kingdom: gov.uk, "VAT margin schemes: keeping records" (stock book, invoices).
- Ireland: Revenue, leaflet on the margin scheme, 1.3; VAT Consolidation Act 2010 s. 87.
- Germany: § 14 Abs. 4 and § 14a Abs. 6 UStG  # from memory; § 34a UStDV with UStAE 14.7a, in
  datenbank.nwb.de/Dokument/378652_14___7a.
- All three: Directive 2006/112/EC art. 226, in the UK as it was kept; 325: no VAT set apart.
"""

import datetime as dt

import pytest

from quotes.pool.verbs.set_up_country import set_up_country
from quotes.sales.models import Paper
from tests.factories.sales import in_stock, returned, sold, trading_shop
from tests.factories.shop import ShopFactory
from tests.pdfs import words_of

pytestmark = pytest.mark.django_db

# country, the words it asks for, day of the sale, price, VAT that lies in the margin of 300
MARGIN = [
    ("GB", "Margin scheme – second-hand goods", "1 April 2026", "£900.00", "50.00"),
    (
        "IE",
        "this invoice does not give the right to an input credit of VAT",
        "1 April 2026",
        "€900.00",
        "56.10",
    ),
    ("DE", "Gebrauchtgegenstände/Sonderregelung", "1. April 2026", "900,00", "47,90"),
]
DAY = dt.date(2026, 4, 1)
SECRETS = ("600.00", "600,00", "300.00", "300,00")
"""The purchase price and the margin, as either country would write them."""


def text_of(**paper):
    return words_of(Paper.objects.get(**paper).pdf)


def a_shop_in(country):
    ShopFactory.create()
    set_up_country(country)


@pytest.mark.parametrize(("country", "legend", "day", "price", "vat"), MARGIN)
def test_a_margin_scheme_invoice_and_its_credit_note(country, legend, day, price, vat):
    a_shop_in(country)
    row = in_stock(price="600")
    sale = sold(row, price="900", sold_on=DAY)
    note = returned(sale)
    for text in (text_of(sale=sale), text_of(credit_note=note)):
        for must in (
            *("The Folding Yard", "1 Invented Lane", "GB980780684"),
            *("Ben Frost", "8 Quay", "Elsewhere"),
            *(sale.number, row.number, day, f"1 × {row.description}"),
            *(row.frame_number, price, legend),
        ):
            assert must in text, must
        for never in (vat, *SECRETS, "VAT at", "Without VAT"):
            assert never not in text, never
    assert f"{sale.vat:.2f}" == vat.replace(",", ".")


def test_an_ordinary_invoice_shows_rate_net_vat_and_gross():
    a_shop_in("GB")
    sale = sold(in_stock(price="600", vat_shown=True, seller_invoice="9"), sold_on=DAY)
    text = text_of(sale=sale)
    for must in ("GB980780684", "VAT at 20 %", "£750.00", "£150.00", "£900.00", sale.number):
        assert must in text.replace("20%", "20 %"), must
    assert "Margin scheme" not in text


@pytest.mark.parametrize(
    ("country", "words"),
    [("GB", "not registered for VAT"), ("DE", "Steuerfreier Kleinunternehmer (§ 19 UStG)")],
)
def test_a_shop_that_charges_no_vat_says_why(country, words):
    """And names its tax number where it has no VAT number: § 34a UStDV, no. 2 (from memory)."""
    a_shop_in(country)
    trading_shop(vat_registered=False, resale_scheme="none", tax_number="21/815/08150")
    text = text_of(sale=sold(in_stock(price="600"), sold_on=DAY))
    assert words in text
    assert "Tax number 21/815/08150" in text
    assert "VAT at" not in text


def test_a_vat_number_goes_before_the_tax_number():
    a_shop_in("DE")
    trading_shop(tax_number="21/815/08150")
    assert "Tax number" not in text_of(sale=sold(in_stock(price="600"), sold_on=DAY))
