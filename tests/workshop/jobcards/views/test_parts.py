"""A card's parts: drawn by picking and by scanning, given back, set aside again."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.stock.models import StockLevel
from tests.asking import queries_of
from tests.factories import jobcards as made
from tests.factories.people import UserFactory, sign_in
from tests.factories.stock import come_in, stocked
from workshop.jobcards.models import Drawn
from workshop.jobcards.verbs.parts import draw_part
from workshop.jobcards.verbs.tick import tick

GTIN = "4006381333931"


@pytest.fixture
def safe_card():
    """A card with a stem, which is safety-critical and has a GTIN, and with spokes by twos."""
    made.operation("stem")
    made.operation("wheel")
    stem = stocked(3, code="stem", name="Stem", safety_critical=True, gtin=GTIN)
    spokes = stocked(9, code="SPOKE-2", name="Spokes")
    work = made.asked("stem", "wheel", parts=(("stem", stem, 1), ("wheel", spokes, 2)))
    return made.a_card(work)


def url(card, name="parts", *more):
    return reverse(f"jobcards:{name}", args=(card.pk, *more))


def send(client, card, name, part, **data):
    row = made.row_of(card, part)
    return client.post(url(card, name, row.pk), {"key": made.a_key()} | data)


def scan(client, card, code, **data):
    address = url(card, "scan")
    return client.post(address, {"key": made.a_key(), "code": code} | data, follow=True)


def out(card, part):
    return made.row_of(card, part).out


class TestPicking:
    def test_what_is_drawn_leaves_the_shelf(self, client, bench, card):
        answer = send(client, card, "draw", "cones", quantity="2")
        assert answer.status_code == 302
        assert answer.url.endswith(f"#part-{made.row_of(card, 'cones').pk}")
        assert out(card, "cones") == 2
        assert StockLevel.objects.get(part__code="cones").on_hand == 3

    def test_from_the_tasks_page_it_leads_back_there(self, client, bench, card):
        answer = send(client, card, "draw", "cones", quantity="1", **{"from": "task"})
        assert f"/tasks/{made.task_of(card, 'hub').pk}/" in answer.url

    @pytest.mark.parametrize("origin", ["task", "parts"])
    @pytest.mark.parametrize("quantity", ["", "x", "0", "-1", "3", "1e9"])
    def test_a_quantity_that_cannot_be_is_refused_where_it_was_typed(
        self, client, bench, card, quantity, origin
    ):
        answer = send(client, card, "draw", "cones", quantity=quantity, **{"from": origin})
        html = answer.content.decode()
        assert answer.status_code == 422
        assert 'role="alert"' in html
        assert f'value="{quantity}"' in html
        assert out(card, "cones") == 0

    def test_a_safety_critical_part_needs_its_number(self, client, bench, safe_card):
        answer = send(client, safe_card, "draw", "stem", quantity="1")
        assert answer.status_code == 422
        assert "serial or batch number" in answer.content.decode()
        assert "autofocus" in answer.content.decode()
        send(client, safe_card, "draw", "stem", quantity="1", serial="B-77")
        assert Drawn.objects.get().serial == "B-77"
        assert "B-77" in client.get(url(safe_card)).content.decode()

    def test_what_was_not_used_comes_back(self, client, bench, card):
        send(client, card, "draw", "cones", quantity="2")
        send(client, card, "give_back", "cones", quantity="1")
        assert out(card, "cones") == 1
        answer = send(client, card, "give_back", "cones", quantity="5")
        assert answer.status_code == 422
        assert out(card, "cones") == 1

    def test_sent_twice_it_is_drawn_once(self, client, bench, card):
        for _ in range(2):
            send(client, card, "draw", "cones", quantity="1", key="one")
        assert out(card, "cones") == 1

    def test_a_row_of_another_card_is_404(self, client, bench, card, safe_card):
        row = made.row_of(safe_card, "stem")
        assert client.post(url(card, "draw", row.pk), {"quantity": "1"}).status_code == 404

    def test_the_accountant_looks_only(self, client, card):
        sign_in(client, accountant=True)
        html = client.get(url(card)).content.decode()
        assert "Cones" in html or "cones" in html
        assert ">Draw" not in html
        assert send(client, card, "draw", "cones", quantity="1").status_code == 403


class TestScanning:
    @pytest.mark.parametrize("code", ["SPOKE-2", " spoke-2 "])
    def test_our_code_draws_one(self, client, bench, safe_card, code):
        html = scan(client, safe_card, code).content.decode()
        assert out(safe_card, "SPOKE-2") == 1
        assert "Still to be drawn: 1" in html

    def test_a_gtin_of_a_safety_critical_part_asks_for_its_number(self, client, bench, safe_card):
        answer = scan(client, safe_card, GTIN)
        assert answer.status_code == 422
        assert out(safe_card, "stem") == 0
        assert "safety-critical" in answer.content.decode()

    def test_what_the_card_does_not_ask_for_is_extra_work(self, client, bench, card):
        stocked(4, code="bell", name="Bell")
        assert "is extra work" in scan(client, card, "bell").content.decode()

    def test_what_is_drawn_already_is_not_drawn_again(self, client, bench, card):
        for _ in range(3):
            html = scan(client, card, "cones").content.decode()
        assert out(card, "cones") == 2
        assert "is not to be drawn" in html

    def test_a_task_that_is_ticked_already_still_takes_its_part(self, client, bench, card, ada):
        task = made.task_of(card, "hub")
        tick(task, by=ada, key=made.a_key(), base_version=task.version)
        scan(client, card, "cones")
        assert out(card, "cones") == 1

    @pytest.mark.parametrize("code", ["", "nothing", "\0", "é" * 300])
    def test_an_unknown_code_changes_nothing(self, client, bench, card, code):
        answer = scan(client, card, code)
        assert answer.status_code == 200
        assert "No part has the code" in answer.content.decode()

    def test_less_than_one_is_drawn_where_less_is_wanted(self, client, bench):
        made.operation("cable")
        hose = stocked(5, code="hose", unit="m")
        card = made.a_card(made.asked("cable", parts=(("cable", hose, "0.6"),)))
        scan(client, card, "hose")
        assert out(card, "hose") == Decimal("0.6")


class TestShort:
    def test_what_came_in_since_is_set_aside(self, client, bench):
        made.operation("hub")
        cones = stocked(1, code="cones")
        card = made.a_card(made.asked("hub", parts=(("hub", cones, 3),)))
        assert "2 not there yet" in client.get(url(card)).content.decode()
        come_in(cones, 1)
        html = client.post(url(card, "reserve"), {"key": "r1"}, follow=True).content.decode()
        assert "Some parts are still not there." in html
        assert "1 not there yet" in html
        come_in(cones, 1)
        html = client.post(url(card, "reserve"), {"key": "r2"}, follow=True).content.decode()
        assert "All parts are there now." in html


def test_queries_do_not_grow(client, bench):
    def drawn_card(name, many):
        codes = [made.operation(f"{name}-{n}") for n in range(many)]
        parts = tuple((code, stocked(3, code=f"part-{code}"), 2) for code in codes)
        card = made.a_card(made.asked(*codes, parts=parts))
        for code in codes:
            row = made.row_of(card, f"part-{code}")
            draw_part(row, quantity=Decimal(1), by=UserFactory.create(), key=made.a_key())
        return card

    few = queries_of(client, url(drawn_card("a", 2)))
    assert queries_of(client, url(drawn_card("b", 9))) == few


class TestByScript:
    def say(self, client, card, name, **data):
        address = url(card, name, made.row_of(card, "cones").pk)
        return client.post(address, data, HTTP_ACCEPT="application/json")

    def test_it_is_told_what_was_done_and_what_was_done_already(self, client, bench, card):
        told = [self.say(client, card, "draw", key="k1", quantity="2").json() for _ in range(2)]
        assert [each["outcome"] for each in told] == ["done", "already"]
        assert out(card, "cones") == 2
        told = [self.say(client, card, "give_back", key="k2", quantity="1").json() for _ in "ab"]
        assert [each["outcome"] for each in told] == ["done", "already"]
        assert out(card, "cones") == 1

    @pytest.mark.parametrize("quantity", ["99", "", "many"])
    def test_it_is_told_why_it_was_refused(self, client, bench, card, quantity):
        answer = self.say(client, card, "draw", key="k1", quantity=quantity)
        assert answer.status_code == 422
        assert answer.json()["outcome"] == "refused"
        assert answer.json()["words"]
        assert out(card, "cones") == 0
