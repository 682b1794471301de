"""The decision page: what-if, saving, the kept sheet, its print, who may see it."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.db import DatabaseError, connection, transaction
from django.test import Client
from django.urls import reverse

from quotes.buyin.models import MarginCheck
from quotes.deciding.models import DecisionSheet, KeptError
from tests.asking import queries_of
from tests.factories import quotes as made
from tests.factories.bikes import BikeFactory
from tests.factories.people import sign_in
from tests.factories.planning import hidden_risk
from tests.factories.resale import on_a_line
from tests.pdfs import pages_of
from workshop.bikes.models import Stage
from workshop.people.models import Role

pytestmark = pytest.mark.django_db


def test_it_starts_with_what_is_known(boss, url, bike):
    on_a_line(10, make=bike.make, model=bike.model)
    page = boss.get(url)
    form = page.context["form"]
    assert form["purchase_price"].value() == "90.00"
    assert form["confidence"].value() == "80"
    assert form["resale_price"].value()
    assert page.context["figures"].given.price == Decimal(90)
    assert "guess" not in form.fields


def test_without_comparables_it_asks_for_a_price(boss, url):
    text = boss.get(url).content.decode()
    assert "Not worked out yet" in text
    assert "There are no comparables of this bike" in text


def test_figures_in_the_address_are_weighed_and_not_kept(boss, url, figures):
    page = boss.get(url, figures)
    text = page.content.decode()
    assert page.status_code == 200
    for words in ("Buy it", "Pay at most", "Open with", "times in 100", "an aid, not advice"):
        assert words in text
    assert not MarginCheck.objects.exists()


def test_a_change_in_place_answers_with_the_outcome_alone(boss, url, figures):
    text = boss.get(url, figures, headers={"HX-Request": "true"}).content.decode()
    assert "<html" not in text
    assert 'id="said"' in text
    assert "Pay at most" in text


def test_a_higher_price_changes_the_word(boss, url, figures):
    words = [
        boss.get(url, figures | {"purchase_price": price}).context["figures"].word
        for price in ("60", "170", "290")
    ]
    assert words == ["buy", "haggle", "leave"]


def test_what_was_left_open_is_filled_in(boss, url, figures):
    page = boss.get(url, figures | {"resale_low": "", "resale_high": ""})
    given = page.context["figures"].given
    assert (given.resale_low, given.resale_high) == (Decimal("272.00"), Decimal("368.00"))
    assert given.parts_value == Decimal("112.00")


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        ({"purchase_price": "cheap"}, "Price asked"),
        ({"resale_low": "330"}, "above the expected price"),
        ({"resale_high": "310"}, "below the expected price"),
        ({"confidence": "40"}, "How sure"),
        ({"scheme": "none"}, "registered for VAT"),
    ],
)
def test_what_is_wrong_is_told_and_nothing_worked_out(boss, url, figures, wrong, words):
    page = boss.get(url, figures | wrong)
    assert page.status_code == 422
    assert words in page.content.decode()
    assert page.context["figures"] is None
    assert boss.post(url, figures | wrong).status_code == 422
    assert not DecisionSheet.objects.exists()


def test_saving_keeps_the_figures_that_were_shown(boss, url, figures):
    hidden_risk("rust")
    shown = boss.get(url, figures).context["figures"]
    response = boss.post(url, figures)
    check = MarginCheck.objects.get()
    assert response["Location"] == reverse("buyin:detail", args=[check.pk])
    page = boss.get(reverse("buyin:kept", args=[check.pk]))
    assert page.context["figures"] == shown
    assert (check.verdict, check.purchase_price) == (shown.word, Decimal(90))
    assert check.profit == shown.profit_likely
    assert check.reasons == list(shown.reasons)
    assert "Decision sheet" in boss.get(reverse("buyin:detail", args=[check.pk])).content.decode()


def test_what_was_kept_stays_whatever_the_shop_changes(boss, url, figures, shop):
    boss.post(url, figures)
    check = MarginCheck.objects.get()
    address = reverse("buyin:kept", args=[check.pk])
    before = boss.get(address).context["figures"]
    shop.opening_share = Decimal("0.1")
    shop.save()
    hidden_risk("rust")
    assert boss.get(address).context["figures"] == before


def test_a_sheet_is_neither_changed_nor_deleted(boss, url, figures):
    boss.post(url, figures)
    sheet = DecisionSheet.objects.get()
    with pytest.raises(KeptError):
        sheet.save()
    with pytest.raises(KeptError):
        sheet.delete()
    with pytest.raises(DatabaseError, match="stays as it was"), transaction.atomic():
        DecisionSheet.objects.update(figures={})
    assert connection.vendor in {"sqlite", "postgresql"}


def test_a_saved_decision_can_be_decided_on(boss, url, figures, bike):
    boss.post(url, figures)
    check = MarginCheck.objects.get()
    bike.stage = Stage.INSPECTED
    bike.save()
    boss.post(reverse("buyin:decide", args=[check.pk]), {"decision": "buy", "note": ""})
    bike.refresh_from_db()
    assert bike.stage == Stage.BOUGHT


def test_it_prints_on_one_page_with_the_same_figures(boss, url, figures):
    for number in range(9):
        hidden_risk(f"something-that-may-hide-{number}")
    figures["purchase_price"] = "20"
    response = boss.post(url, figures | {"print": "1"})
    sheet = boss.get(response["Location"])
    assert sheet["Content-Type"] == "application/pdf"
    (text,) = pages_of(sheet.content)
    shown = boss.get(url, figures).context["figures"]
    assert f"£{shown.ceiling}" in text
    assert f"£{shown.opening}" in text
    assert "Buy it" in text
    assert "Where the bike comes from has not been checked." in text
    assert boss.get(response["Location"]).content == sheet.content


def test_a_check_without_a_sheet_has_none_to_show(boss, bike, figures):
    quick = figures | {"refurbishment_cost": "60"}
    boss.post(reverse("buyin:check", args=[bike.pk]), quick)
    check = MarginCheck.objects.get()
    assert boss.get(reverse("buyin:kept", args=[check.pk])).status_code == 404
    assert boss.get(reverse("buyin:sheet", args=[check.pk])).status_code == 404
    detail = boss.get(reverse("buyin:detail", args=[check.pk])).content.decode()
    assert "Decision sheet" not in detail


@pytest.mark.parametrize(
    ("role", "status"),
    [(Role.MANAGER, 200), (Role.ACCOUNTANT, 200), (Role.DESK, 403), (Role.MECHANIC, 403)],
)
def test_manager_and_accountant_see_it(url, figures, role, status, shop):
    client = Client()
    sign_in(client, role=role)
    page = client.get(url, figures)
    assert page.status_code == status
    if role == Role.ACCOUNTANT:
        assert "Save this decision sheet" not in page.content.decode()
        assert client.post(url, figures).status_code == 403


def test_without_an_inspection_a_guess_is_asked_for(boss, figures):
    bike = BikeFactory.create()
    address = reverse("buyin:decision", args=[bike.pk])
    assert "guess" in boss.get(address).context["form"].fields
    page = boss.get(address, figures | {"guess": "40"})
    assert page.context["figures"].work_likely == 40
    assert "The bike has not been inspected" in page.content.decode()


def test_without_a_quote_the_work_is_as_it_would_be_proposed(boss, shop, figures):
    inspection = made.inspected(made.fault("hub-play", made.remedy("adjust")))
    page = boss.get(reverse("buyin:decision", args=[inspection.bike_id]), figures)
    assert "No quote yet" in page.content.decode()
    assert page.context["figures"].work_likely == Decimal("5.25")


def test_it_runs_as_many_queries_for_many_findings_as_for_few(boss, shop):
    addresses = []
    for count, name in ((2, "few"), (12, "many")):
        revision = made.draft(*made.many(count, name=name), asking_price=Decimal(90))
        hidden_risk(f"risk-{name}")
        addresses.append(reverse("buyin:decision", args=[revision.quote.bike_id]))
    on_a_line(10, make=revision.quote.bike.make, model=revision.quote.bike.model)
    boss.get(addresses[0])
    assert queries_of(boss, addresses[0]) == queries_of(boss, addresses[1])


def test_the_quick_check_and_the_decision_lead_to_each_other(boss, url, bike, figures):
    quick = reverse("buyin:check", args=[bike.pk])
    assert url in boss.get(quick).content.decode()
    assert quick in boss.get(url, figures).content.decode()


def test_there_is_no_decision_about_no_bike(boss, shop):
    assert boss.get("/buy-in/bikes/99999/decision/").status_code == 404
