"""What stands in the stock book stays: models and database refuse, but for what retention asks."""

import pytest
from django.db import DatabaseError, IntegrityError, connection, transaction

from quotes.sales.models import (
    CreditNote,
    KeptError,
    Line,
    Paper,
    Party,
    Purchase,
    Reduction,
    Reversal,
    Sale,
)
from tests.factories.sales import bought, decided, in_stock, reduced, returned, reversed_, sold

pytestmark = pytest.mark.django_db

MODELS = (Purchase, Reversal, Sale, Line, Reduction, CreditNote, Party, Paper)
# a column of each that may not be changed
COLUMNS = {
    Purchase: {"price": 1},
    Reversal: {"reason": "other"},
    Sale: {"price": 1},
    Line: {"gross": 1},
    Reduction: {"amount": 1},
    CreditNote: {"reason": "other"},
    Party: {"name": "Somebody Else"},
    Paper: {"sha256": "0"},
}


@pytest.fixture
def sale():
    made = sold()
    reduced(made)
    returned(made)
    reversed_(bought())
    return made


@pytest.mark.parametrize("model", MODELS)
def test_the_models_refuse_to_change_or_delete(sale, model):
    row = model.objects.first()
    for act in (row.save, row.delete):
        with pytest.raises(KeptError, match="stays as it is"):
            act()


@pytest.mark.parametrize("model", MODELS)
def test_the_database_refuses_to_change(sale, model):
    with pytest.raises(DatabaseError, match="stays as it is"), transaction.atomic():
        model.objects.update(**COLUMNS[model])


@pytest.mark.postgres
@pytest.mark.parametrize(
    "table",
    [
        "sales_line",
        "sales_creditnote",
        "sales_sale",
        "sales_reduction",
        "sales_reversal",
        "sales_purchase",
    ],
)
def test_postgresql_refuses_to_delete(sale, table):
    with pytest.raises(IntegrityError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute(f"DELETE FROM {table}")  # noqa: S608 - our own names


@pytest.mark.postgres
def test_postgresql_keeps_invoices_but_lets_a_receipt_go(sale):
    with pytest.raises(DatabaseError, match="stays as it is"), transaction.atomic():
        Paper.objects.filter(sale=sale).delete()
    Paper.objects.filter(purchase=sale.purchase).delete()
    assert not Paper.objects.filter(purchase=sale.purchase).exists()


def test_no_line_is_added_to_an_invoice_that_was_made(sale):
    with pytest.raises(DatabaseError, match="no line is added"), transaction.atomic():
        Line.objects.create(sale=sale, position=9, description="Bell", gross=5)


def a_copy(of, **fields):
    row = Sale.objects.get(pk=of.pk)
    row.pk = None
    row._state.adding = True
    for name, value in fields.items():
        setattr(row, name, value)
    return row


def test_the_database_sells_a_bike_only_once():
    sale = sold()
    with pytest.raises(DatabaseError, match="is sold"), transaction.atomic():
        a_copy(sale, number="SI9998", turn=2).save()
    returned(sale)
    with pytest.raises(IntegrityError), transaction.atomic():
        a_copy(sale, number="SI9998").save()
    a_copy(sale, number="SI9998", turn=2).save()


# field, value, constraint
BAD_SALES = [
    ({"price": 0, "total": 0}, "sale_has_a_price"),
    ({"total": 1}, "sale_has_a_price"),
    ({"vat": 901}, "sale_vat_of_its_scheme"),
    ({"margin": -5, "vat": 5}, "sale_vat_of_its_scheme"),
    ({"scheme": "none"}, "sale_vat_of_its_scheme"),
    ({"legend": ""}, "margin_sale_has_its_words"),
    ({"warranty_months": 121}, "sale_warranty_and_fees_plausible"),
]


@pytest.mark.parametrize(("fields", "constraint"), BAD_SALES)
def test_the_database_refuses_what_no_sale_can_be(fields, constraint):
    sale = sold()
    returned(sale)
    with pytest.raises(IntegrityError, match=constraint), transaction.atomic():
        a_copy(sale, number="SI9998", turn=2, **fields).save()


BAD_PURCHASES = [
    ({"vat_shown": True}, "vat_shown_is_no_margin_scheme"),
    ({"input_vat": 1}, "vat_shown_is_no_margin_scheme"),
    ({"seller_invoice": "7"}, "purchase_has_one_document"),
    ({"receipt_no": None}, "purchase_has_one_document"),
    ({"scheme": "other"}, "purchase_scheme_known"),
    ({"unchecked_reason": ""}, "purchase_checked_or_says_why_not"),
    ({"price": -1}, "purchase_price_not_negative"),
]


@pytest.mark.parametrize(("fields", "constraint"), BAD_PURCHASES)
def test_the_database_refuses_what_no_purchase_can_be(fields, constraint):
    copied = Purchase.objects.get(pk=in_stock().pk)
    copied.pk, copied._state.adding = None, True
    copied.number, copied.receipt_no = "S9999", "PR9999"
    copied.check_made = decided()
    copied.bike = copied.check_made.bike
    for name, value in fields.items():
        setattr(copied, name, value)
    with pytest.raises(IntegrityError, match=constraint), transaction.atomic():
        copied.save()


def again(purchase, **fields):
    """Return the purchase to be entered a second time, not saved."""
    row = Purchase.objects.get(pk=purchase.pk)
    row.pk, row._state.adding = None, True
    row.number, row.receipt_no = "S9999", "PR9999"
    for name, value in fields.items():
        setattr(row, name, value)
    return row


def test_the_database_takes_a_bike_in_once_until_it_is_reversed():
    row = bought()
    other = decided()
    for fields in ({}, {"check_made": other}, {"bike": other.bike}):
        with pytest.raises(DatabaseError, match="stands in the stock book"), transaction.atomic():
            again(row, **fields).save()
    reversed_(row)
    again(row).save()


def test_the_database_reverses_no_purchase_that_was_sold():
    sale = sold()
    by = sale.by
    with pytest.raises(DatabaseError, match="was sold"), transaction.atomic():
        Reversal.objects.create(
            purchase=sale.purchase,
            reversed_on=sale.sold_on,
            reason="a slip",
            still_bought=True,
            by=by,
        )


def test_the_database_sells_nothing_whose_purchase_was_reversed():
    sale = sold()
    row = in_stock()
    reversed_(row)
    with pytest.raises(DatabaseError, match="was reversed"), transaction.atomic():
        a_copy(sale, number="SI9998", purchase=row).save()


def test_a_reversal_says_why_and_stands_once():
    row = bought()
    made = reversed_(row)
    fields = {"reversed_on": made.reversed_on, "still_bought": True, "by": made.by}
    with pytest.raises(IntegrityError), transaction.atomic():
        Reversal.objects.create(purchase=row, reason="again", **fields)
    with pytest.raises(IntegrityError, match="reversal_says_why"), transaction.atomic():
        Reversal.objects.create(purchase=bought(), reason="", **fields)


def a_reduction(sale, **fields):
    figures = {
        "number": "CN9998",
        "line": sale.lines.get(position=1),
        "reduced_on": sale.sold_on,
        "reason": "a scratch",
        "amount": 60,
        "vat": 10,
        "left": 840,
        "by": sale.by,
    }
    return Reduction.objects.create(sale=sale, **figures | fields)


BAD_REDUCTIONS = [
    ({"amount": 0, "vat": 0}, "reduction_within_the_line"),
    ({"left": -1}, "reduction_within_the_line"),
    ({"vat": 61}, "reduction_vat_in_amount"),
    ({"reason": ""}, "reduction_says_why"),
]


@pytest.mark.parametrize(("fields", "constraint"), BAD_REDUCTIONS)
def test_the_database_refuses_what_no_reduction_can_be(fields, constraint):
    sale = sold()
    with pytest.raises(IntegrityError, match=constraint), transaction.atomic():
        a_reduction(sale, **fields)


def test_the_database_pays_nothing_back_of_what_was_taken_back():
    sale = sold()
    returned(sale)
    with pytest.raises(DatabaseError, match="was taken back"), transaction.atomic():
        a_reduction(sale)


def test_the_database_reduces_a_line_of_its_own_invoice_only():
    other = sold()
    with pytest.raises(DatabaseError, match="its own invoice"), transaction.atomic():
        a_reduction(sold(), line=other.lines.get(position=1))
