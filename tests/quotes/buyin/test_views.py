"""The margin check in the browser: what-if, saving, deciding."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from quotes.buyin.models import Decision, MarginCheck
from quotes.buyin.verbs.decide import decide
from quotes.resale.selectors import resale_for
from tests.factories.bikes import BikeFactory
from tests.factories.people import UserFactory
from tests.factories.resale import ComparableFactory
from workshop.bikes.models import Bike, Stage
from workshop.shop.models import Shop

pytestmark = pytest.mark.django_db


@pytest.fixture
def url(bike):
    """The address of the bike's margin check."""
    return reverse("buyin:check", args=[bike.pk])


def saved(client, url, figures):
    """Save a check and return it."""
    assert client.post(url, figures).status_code == 302
    return MarginCheck.objects.first()


def test_it_starts_with_what_is_known(boss, url, bike, quoted):
    quoted(bike)
    page = boss.get(url)
    form = page.context["form"]
    shown = {name: form[name].value() for name in form.fields}
    assert shown == {
        "resale_price": None,
        "purchase_price": "90.00",
        "refurbishment_cost": "19.05",
        "scheme": "margin",
        "vat_rate": "20",
        "selling_fee_share": "5",
        "selling_fee_net": "2.00",
        "warranty_share": "3",
        "target_profit": "80.00",
    }
    assert "Not worked out yet" in " ".join(page.content.decode().split())
    assert "labour £9.10, parts £4.33, sundries £0.62, added by hand £5.00" in " ".join(
        page.content.decode().split()
    )


def test_it_starts_with_what_like_bikes_brought_until_a_check_says_otherwise(
    boss, url, bike, figures
):
    for price in (380, 400, 430):
        alike = {"make": bike.make, "model": bike.model, "frame": bike.frame}
        ComparableFactory.create(**alike, price=Decimal(price), maker_year=bike.maker_year)
    known = resale_for(bike, timezone.localdate(), Shop.objects.get()).resale.likely
    assert boss.get(url).context["form"]["resale_price"].value() == str(known)
    saved(boss, url, figures)
    kept = boss.get(url).context["form"]["resale_price"].value()
    assert Decimal(kept) == Decimal(figures["resale_price"])


def test_figures_in_the_address_are_worked_out_and_not_kept(boss, url, figures):
    page = boss.get(url, figures)
    text = page.content.decode()
    assert page.status_code == 200
    assert page.context["outcome"].result.profit == Decimal("104.07")
    for words in ("Buy it", "£230.00 × 20/120", "£104.07", "an aid, not advice"):
        assert words in text
    assert not MarginCheck.objects.exists()


def test_a_change_in_place_answers_with_the_outcome_alone(boss, url, figures):
    page = boss.get(url, figures, headers={"HX-Request": "true"})
    text = page.content.decode()
    assert "Buy it" in text
    assert "<html" not in text
    assert 'name="resale_price" value="320"' in text


def test_what_is_wrong_is_said_and_nothing_is_kept(boss, url, figures):
    page = boss.get(url, figures | {"resale_price": "three hundred"})
    assert page.status_code == 422
    assert "is not a price" in page.content.decode()
    page = boss.post(url, figures | {"purchase_price": "-5"})
    assert page.status_code == 422
    assert "below zero" in page.content.decode()
    assert not MarginCheck.objects.exists()


@pytest.mark.parametrize(
    ("registered", "scheme", "words"),
    [
        (True, "none", "The shop is registered for VAT"),
        (False, "margin", "The shop is not registered for VAT"),
    ],
)
def test_the_scheme_must_go_with_the_registration(
    boss, url, shop, figures, registered, scheme, words
):
    shop.vat_registered = registered
    shop.save()
    page = boss.get(url, figures | {"scheme": scheme})
    assert page.status_code == 422
    assert words in page.content.decode()


def test_saving_keeps_what_went_in_and_what_came_out(boss, url, figures, bike, quoted):
    revision = quoted(bike)
    row = saved(boss, url, figures)
    assert (row.bike, row.revision) == (bike, revision)
    assert (row.resale_price, row.purchase_price) == (Decimal(320), Decimal(90))
    assert (row.vat, row.profit) == (Decimal("38.33"), Decimal("104.07"))
    assert row.verdict == "buy"
    assert row.reasons[0].startswith("At £90.00 the profit is £104.07")
    assert row.decision == Decision.OPEN
    page = boss.get(reverse("buyin:detail", args=[row.pk]))
    for words in ("£104.07", "£230.00 × 20/120", "Buy it", revision.quote.number):
        assert words in page.content.decode()


def test_the_ceiling_that_was_saved_gives_the_target_when_put_back(boss, url, figures):
    row = saved(boss, url, figures)
    page = boss.get(url, figures | {"purchase_price": str(row.ceiling_price)})
    assert page.context["outcome"].result.profit == Decimal("80.00")


def test_the_next_check_starts_with_the_last_resale_price(boss, url, figures):
    saved(boss, url, figures)
    page = boss.get(url)
    assert page.context["form"]["resale_price"].value() == "320.00"
    assert page.context["outcome"] is None


def test_a_saved_check_stays_when_the_shop_changes(boss, url, figures, shop):
    row = saved(boss, url, figures)
    shop.selling_fee_share = Decimal("0.2")
    shop.save()
    page = boss.get(reverse("buyin:detail", args=[row.pk])).content.decode()
    assert "5 % of £320.00 and £2.00 fixed" in page
    assert "£104.07" in page


@pytest.mark.parametrize(
    ("decision", "stage", "onward"),
    [("buy", Stage.BOUGHT, "sales:buy"), ("leave", Stage.LEFT, "bikes:detail")],
)
def test_a_decision_moves_the_bike(boss, url, figures, bike, decision, stage, onward):
    row = saved(boss, url, figures)
    answer = boss.post(
        reverse("buyin:decide", args=[row.pk]), {"decision": decision, "note": "Agreed at £85."}
    )
    assert answer["Location"] == reverse(onward, args=[bike.pk])
    row.refresh_from_db()
    assert (row.decision, row.decision_note) == (decision, "Agreed at £85.")
    assert Bike.objects.get(pk=bike.pk).stage == stage
    page = boss.get(reverse("buyin:detail", args=[row.pk])).content.decode()
    assert "decided by Robin Bench" in page
    assert 'name="decision"' not in page


def test_a_decision_against_the_verdict_needs_a_note(boss, url, figures, bike):
    row = saved(boss, url, figures)
    answer = boss.post(reverse("buyin:decide", args=[row.pk]), {"decision": "leave"})
    assert answer.status_code == 422
    assert "Write a note that says why" in answer.content.decode()
    assert Bike.objects.get(pk=bike.pk).stage == Stage.INSPECTED


def test_a_bike_that_cannot_be_bought_yet_is_not(boss, url, figures, bike):
    Bike.objects.filter(pk=bike.pk).update(stage=Stage.BOOKED_IN)
    row = saved(boss, url, figures)
    answer = boss.post(reverse("buyin:decide", args=[row.pk]), {"decision": "buy"})
    assert answer.status_code == 422
    assert "can&#x27;t become “bought in” from there" in answer.content.decode()
    row.refresh_from_db()
    assert row.decision == Decision.OPEN


def test_nothing_is_decided_twice_nor_on_an_older_check(boss, url, figures):
    older, newer = saved(boss, url, figures), saved(boss, url, figures)
    address = reverse("buyin:decide", args=[older.pk])
    answer = boss.post(address, {"decision": "buy"})
    assert "There is a newer margin check" in answer.content.decode()
    decide(newer, Decision.BUY, note="", by=newer.by)
    answer = boss.post(reverse("buyin:decide", args=[newer.pk]), {"decision": "buy"})
    assert answer.status_code == 422
    assert "This was decided already: buy." in answer.content.decode()


def test_the_list_is_searched_and_narrowed(boss, url, figures, bike):
    saved(boss, url, figures)
    other = BikeFactory.create(make="Harbourline")
    worse = figures | {"purchase_price": "60", "refurbishment_cost": "190"}
    saved(boss, reverse("buyin:check", args=[other.pk]), worse)
    address = reverse("buyin:list")
    everything = boss.get(address).content.decode()
    assert bike.stock_no in everything
    assert "Harbourline" in everything
    found = boss.get(address, {"q": "harbour"}).content.decode()
    assert "Harbourline" in found
    assert bike.stock_no not in found
    leave = boss.get(address, {"verdict": "leave"}).content.decode()
    assert "Harbourline" in leave
    assert bike.stock_no not in leave


def test_list_and_detail_run_a_constant_number_of_queries(
    boss, url, figures, django_assert_max_num_queries, quoted, bike
):
    quoted(bike)
    row = saved(boss, url, figures)
    pages = (reverse("buyin:list"), reverse("buyin:detail", args=[row.pk]), url)
    few = [count(boss, page) for page in pages]
    for _ in range(12):
        saved(boss, reverse("buyin:check", args=[BikeFactory.create().pk]), figures)
        saved(boss, url, figures)
    assert [count(boss, page) for page in pages] == few


def count(client, page):
    """Count the queries of a page."""
    from django.db import connection
    from django.test.utils import CaptureQueriesContext

    with CaptureQueriesContext(connection) as caught:
        assert client.get(page).status_code == 200
    return len(caught)


def test_only_manager_and_accountant_read_and_only_the_manager_writes(client, boss, url, figures):
    row = saved(boss, url, figures)
    detail, listing = reverse("buyin:detail", args=[row.pk]), reverse("buyin:list")
    client.force_login(UserFactory.create(accountant=True))
    assert client.get(detail).status_code == 200
    assert 'name="decision"' not in client.get(detail).content.decode()
    assert client.get(listing).status_code == 200
    assert client.get(url).status_code == 403
    assert client.post(reverse("buyin:decide", args=[row.pk])).status_code == 403
    for role in ({"desk": True}, {}):
        client.force_login(UserFactory.create(**role))
        for page in (detail, listing, url):
            assert client.get(page).status_code == 403


def test_the_bikes_page_shows_checks_to_those_who_may_see_them(client, boss, url, figures, bike):
    page = reverse("bikes:detail", args=[bike.pk])
    assert "Not checked yet" in boss.get(page).content.decode()
    saved(boss, url, figures)
    text = boss.get(page).content.decode()
    assert "Decide whether to buy" in text
    assert "asked £90.00, profit £104.07" in text
    for role in ({"desk": True}, {}):
        client.force_login(UserFactory.create(**role))
        assert "profit £104.07" not in client.get(page).content.decode()
        assert "Margin checks" not in client.get(page).content.decode()


def test_a_mechanic_who_may_see_costs_still_opens_no_margin_check(client, shop, bike):
    shop.mechanics_see_costs = True
    shop.save()
    client.force_login(UserFactory.create())
    assert "Margin checks" not in client.get(f"/bikes/{bike.pk}/").content.decode()


def test_there_is_no_check_of_no_bike(boss, shop):
    assert boss.get("/buy-in/bikes/99999/").status_code == 404
    assert boss.get("/buy-in/99999/").status_code == 404
