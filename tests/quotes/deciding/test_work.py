"""The cost of the work as a range: from the quote's lines, or as a quote would propose it."""

from __future__ import annotations

from decimal import Decimal

import pytest

from quotes.deciding.work import FURTHER, SHARED, work_of_inspection, work_of_revision
from quotes.quoting.selectors import refurbishment_cost
from quotes.quoting.verbs.add_line import add_line
from tests.factories import quotes as made
from tests.factories.people import UserFactory
from workshop.shop.selectors import current_shop, vat_rates_on

pytestmark = pytest.mark.django_db


def work_of(revision):
    return work_of_revision(revision, current_shop(), {"standard": Decimal("0.2")})


def task(work, name):
    return next(each for each in work.tasks if each.name.endswith(name))


def test_low_and_high_come_from_the_catalogues_minutes_and_costs(draft):
    hub = task(work_of(draft), str(made.row_of(draft, "hub-play")))
    # 20 min at 21.00 an hour, likely; 15 and 40 min; wheel out 3 min; cones 3, 4, 9
    assert hub.cost.low == Decimal("5.25") + Decimal("1.05") + 3
    assert hub.cost.likely == Decimal("7.00") + Decimal("1.05") + 4
    assert hub.cost.high == Decimal("14.00") + Decimal("1.05") + 9
    assert hub.minutes == 23


def test_what_has_no_range_is_certain(draft):
    assert task(work_of(draft), str(made.row_of(draft, "bell-missing"))).cost.certain


def test_the_likely_cost_is_the_quotes(draft):
    assert work_of(draft).likely == refurbishment_cost(draft)


def test_an_inspection_costs_what_its_quote_will(draft):
    rates = vat_rates_on(draft.priced_on)
    inspection = draft.quote.inspection
    assert work_of_inspection(inspection, current_shop(), rates).likely == work_of(draft).likely


def test_work_that_several_findings_share_stands_by_itself(shop):
    revision = made.draft(*made.many(2))
    work = work_of(revision)
    assert [each.name for each in work.tasks if each.name == SHARED] == [SHARED]
    assert work.likely == refurbishment_cost(revision)


def test_a_line_left_out_costs_nothing(draft):
    draft.lines.filter(key__startswith="part:").update(left_out=True, reason="has some")
    assert task(work_of(draft), str(made.row_of(draft, "hub-play"))).cost.likely == Decimal("8.05")


def test_only_what_must_be_done_counts_as_a_must_do(draft):
    row = made.row_of(draft, "hub-play")
    row.lines.update(importance="must")
    made.row_of(draft, "bell-missing").lines.update(importance="could")
    work = work_of(draft)
    assert task(work, str(row)).must == task(work, str(row)).cost
    assert task(work, str(made.row_of(draft, "bell-missing"))).must.high == 0


def test_a_shop_that_is_not_registered_bears_the_vat_on_parts(draft):
    shop = current_shop()
    shop.vat_registered = False
    work = work_of_revision(draft, shop, {"standard": Decimal("0.2")})
    hub = task(work, str(made.row_of(draft, "hub-play")))
    assert hub.cost.likely == Decimal("7.00") + Decimal("1.05") + Decimal("4.80")


def test_a_line_for_no_finding_is_further_work(draft):
    values = {
        "description": "Collection",
        "quantity": Decimal(1),
        "unit": "trip",
        "unit_price_net": Decimal(10),
        "vat_code": "standard",
        "importance": "should",
        "reason": "asked for",
        "cost_net": Decimal(6),
    }
    add_line(draft, values=values, findings=(), by=UserFactory.create(manager=True))
    assert task(work_of(draft), FURTHER).cost.likely == 6


def test_a_finding_without_a_price_is_named(shop):
    revision = made.draft(made.fault("noise"), made.fault("hub-play", made.remedy("adjust")))
    assert work_of(revision).open == (str(made.row_of(revision, "noise")),)
