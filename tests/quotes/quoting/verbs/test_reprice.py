"""Pricing a draft anew: keys, changes and lines by hand stay; the rest follows the catalogue."""

import datetime as dt
from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.utils import timezone
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from inventory.parts.models import Part
from quotes.quoting.models import Line
from quotes.quoting.verbs.add_line import add_line
from quotes.quoting.verbs.change_line import change_line
from quotes.quoting.verbs.reprice import reprice
from quotes.quoting.verbs.start import start_quote
from tests.factories import quotes as made
from tests.factories.labour import LabourRateFactory
from tests.factories.people import UserFactory
from tests.factories.shop import VatRateFactory
from workshop.shop.models import VatRate

BY_HAND = {
    "description": "Fetching the bike",
    "quantity": Decimal(1),
    "unit": "pc",
    "unit_price_net": Decimal("10.00"),
    "vat_code": "standard",
    "importance": "should",
    "reason": "agreed by phone",
}


@pytest.mark.django_db
def test_a_dearer_part_changes_its_line_and_the_totals_but_not_its_row(draft):
    line = draft.lines.get(kind="part")
    Part.objects.filter(code="hub-cones").update(price_net=Decimal("9.00"))
    again = reprice(draft)
    now = again.lines.get(kind="part")
    assert (now.pk, now.key, now.net) == (line.pk, line.key, Decimal("9.00"))
    assert again.gross == Decimal("28.08")
    assert [record.net for record in now.history.all()] == [Decimal("9.00"), Decimal("8.00")]


@pytest.mark.django_db
def test_rates_are_those_in_force_today(draft):
    today = timezone.localdate()
    LabourRateFactory.create(valid_from=today, charged_net=Decimal("60.00"))
    LabourRateFactory.create(valid_from=today + dt.timedelta(days=1), charged_net=Decimal("90.00"))
    VatRateFactory.create(rate=Decimal("0.25"), valid_from=today)
    again = reprice(draft)
    assert again.lines.get(kind="labour").net == Decimal("15.00")
    assert again.lines.get(kind="labour").vat == Decimal("3.75")
    assert again.priced_on == today


@pytest.mark.django_db
def test_changes_and_lines_by_hand_stay(draft, manager):
    change_line(draft.lines.get(kind="labour"), quantity=Decimal(30), reason="seized", by=manager)
    add_line(draft, values=BY_HAND, findings=[draft.findings.get()], by=manager)
    before = {line.key: (line.pk, line.net) for line in draft.lines.all()}
    again = reprice(draft)
    assert {line.key: (line.pk, line.net) for line in again.lines.all()} == before
    assert again.lines.get(kind="labour").net == Decimal("24.00")
    assert again.lines.get(kind="hand").findings.get() == draft.findings.get()


@pytest.mark.django_db
def test_a_shop_not_registered_charges_no_vat(manager):
    made.priced_shop(vat_registered=False)
    VatRate.objects.all().delete()
    inspection = made.inspected(made.fault("play", made.remedy("adjust", part="cones")))
    draft = start_quote(inspection, manager)
    assert (draft.vat, draft.net, draft.gross) == (0, Decimal("20.00"), Decimal("20.00"))


@pytest.mark.django_db
def test_pricing_twice_writes_nothing_the_second_time(draft):
    records = draft.history.count(), Line.history.count()
    reprice(draft)
    assert (draft.history.count(), Line.history.count()) == records


@pytest.mark.django_db
def test_pricing_takes_as_many_queries_for_twenty_findings_as_for_two(
    manager, django_assert_num_queries
):
    few = made.draft(*made.many(2, name="few"), by=manager)
    lots = made.draft(*made.many(20, name="lots"), by=manager)
    with CaptureQueriesContext(connection) as queries:
        reprice(few)
    with django_assert_num_queries(len(queries)):
        reprice(lots)


class TestSums(TestCase):
    """Totals are the sums of the stored lines, whatever was changed by hand."""

    @given(
        st.lists(
            st.tuples(
                st.decimals(min_value=0, max_value=500, places=2),
                st.decimals(min_value=0, max_value=200, places=2),
                st.booleans(),
            ),
            min_size=3,
            max_size=3,
        )
    )
    def test_totals_are_the_sums_of_the_lines(self, changes):
        by = UserFactory.create(manager=True)
        draft = made.draft(by=by)
        lines = list(draft.lines.all())
        for line, (quantity, price, leave_out) in zip(lines, changes, strict=True):
            draft = change_line(
                line,
                quantity=quantity,
                unit_price_net=price,
                leave_out=leave_out,
                reason="x",
                by=by,
            )
        counted = [line for line in draft.lines.all() if not line.left_out]
        assert draft.net == sum((line.net for line in counted), Decimal(0))
        assert draft.vat == sum((line.vat for line in counted), Decimal(0))
        assert draft.gross == draft.net + draft.vat
