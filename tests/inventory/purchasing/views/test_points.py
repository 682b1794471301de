"""The page of reorder points, and the settings they are reckoned with."""

import datetime as dt
import re
from decimal import Decimal

import pytest
from django.utils import timezone

from inventory.parts.models import Part
from inventory.purchasing.models import PurchasingSettings
from tests.asking import text_of
from tests.factories.parts import PartFactory
from tests.factories.people import UserFactory
from tests.factories.purchasing import came, ordered, sold, used_daily
from tests.factories.stock import a_key, days_ago, stocked, take
from tests.factories.suppliers import SupplierFactory
from tests.inventory.purchasing.addresses import POINTS, SETTINGS

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop", "printed_quickly")]
D = Decimal


def test_a_reorder_point_is_shown_with_its_figures_and_taken_as_the_minimum(manager):
    part = used_daily(PartFactory.create(name="Inner tube", minimum=2))
    sold(part, supplier=SupplierFactory.create(name="Tannery Row", lead_days=5))
    text = text_of(manager.get(POINTS))
    assert re.search(r"(0\.98|1\.00) ± 0\.\d\d", text)
    assert "7.0 days" in text
    (told,) = manager.get(POINTS).context["told"]
    assert told.point.order_below in {8, 9}
    manager.post(POINTS, {"take": [str(part.pk)]})
    part.refresh_from_db()
    assert part.minimum == told.point.order_below
    assert part.history.first().history_user == manager.person


def test_a_lead_time_is_measured_from_five_orders_on(manager, monkeypatch):
    supplier = SupplierFactory.create(lead_days=30)
    part = used_daily(PartFactory.create())
    article = sold(part, supplier=supplier)
    past = days_ago(6)
    for number in range(5):
        with monkeypatch.context() as patched:
            patched.setattr(timezone, "now", lambda: past)
            order = ordered(article)
        came(order, 2, came_on=timezone.localdate() - dt.timedelta(days=number % 2))
        (told,) = manager.get(POINTS).context["told"]
        assert told.orders == (5 if number == 4 else 0)
    assert told.lead.mean == pytest.approx(5.6)
    assert told.lead.sd == pytest.approx(0.5477, abs=1e-4)
    assert "measured on 5 orders" in text_of(manager.get(POINTS))


@pytest.mark.parametrize(
    ("lead_days", "days", "words"),
    [(None, 40, "lead time of"), (3, 20, "fewer than 28 days")],
)
def test_it_is_said_why_there_is_no_point(manager, lead_days, days, words):
    sold(
        used_daily(PartFactory.create(), days), supplier=SupplierFactory.create(lead_days=lead_days)
    )
    assert words in text_of(manager.get(POINTS))


def test_a_part_that_no_supplier_sells_has_no_point(manager):
    used_daily(PartFactory.create())
    assert "No supplier’s article is matched with it" in text_of(manager.get(POINTS))


def test_what_came_back_was_not_used(manager):
    from inventory.stock.verbs.give_back import give_back

    part = stocked(30)
    drawn = take(part, 6, days=3)
    give_back(drawn, quantity=D(6), by=UserFactory.create(), key=a_key())
    sold(part)
    (told,) = manager.get(POINTS).context["told"]
    assert told.usage is None or told.usage.mean == 0


def test_only_what_is_offered_is_taken(manager):
    part = PartFactory.create(minimum=2)
    for wrong in (str(part.pk), "x", "999999"):
        manager.post(POINTS, {"take": [wrong]})
    assert Part.objects.get(pk=part.pk).minimum == 2


def test_the_desk_reads_the_points_and_changes_none(desk):
    part = used_daily(PartFactory.create(minimum=2))
    sold(part, supplier=SupplierFactory.create(lead_days=5))
    text = text_of(desk.get(POINTS))
    assert 'name="take"' not in text
    assert desk.post(POINTS, {"take": [part.pk]}).status_code == 403
    assert desk.get(SETTINGS).status_code == 403


def test_the_service_level_is_changed_within_bounds(manager):
    fields = {"service_level": "98", "usage_days": "90", "look_every": "7"}
    assert manager.post(SETTINGS, fields)["Location"] == POINTS
    kept = PurchasingSettings.objects.get()
    assert (kept.service_level, kept.usage_days, kept.look_every) == (D("0.98"), 90, 7)
    assert kept.history.count() == 1
    assert "in 98 % of orders" in text_of(manager.get(POINTS))
    for wrong in ({"service_level": "40"}, {"service_level": "100"}, {"usage_days": "3"}):
        assert manager.post(SETTINGS, fields | wrong).status_code == 422
