"""Margin by part: charged and cost of released repairs, from the quote to the ledger."""

import datetime as dt
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.parts.models import Part
from inventory.stock.verbs.reverse import reverse_movement
from quotes.acceptance.verbs.open_card import open_card_for
from quotes.acceptance.verbs.record import record_answer
from quotes.margins.selectors import part_margins, sums_of
from quotes.quoting.models import Revision
from quotes.quoting.verbs.send import send
from tests.asking import queries_of
from tests.factories import quotes as made
from tests.factories.jobcards import a_key, row_of
from tests.factories.people import UserFactory, sign_in
from tests.factories.stock import come_in, days_ago
from workshop.bikes.models import Bike, Purpose
from workshop.core.cardstates import CardState
from workshop.jobcards.models import JobCard
from workshop.jobcards.verbs.parts import draw_part, give_part_back
from workshop.people.models import Role

pytestmark = pytest.mark.django_db
D = Decimal
PAGE = reverse("margins:parts")


@pytest.fixture
def repaired(monkeypatch):
    """Return what makes a repair: accepted lines, parts drawn, and the card released."""
    monkeypatch.setattr("quotes.print.pdf.render_revision", lambda page: b"%PDF-1.7")
    by = UserFactory.create(manager=True)
    made.priced_shop()

    def run(
        code="hub",
        *,
        part="cones",
        cost="3.00",
        drawn=1,
        back=0,
        yes=True,
        days=0,
        purpose="repair",
    ):
        cure = made.remedy(f"{code}-cure", part=part)
        draft = made.draft(made.fault(code, cure), by=by)
        Bike.objects.filter(pk=draft.quote.bike_id).update(purpose=purpose)
        send(draft, by)
        sent = Revision.objects.get(pk=draft.pk)
        come_in(Part.objects.get(code=part), 10, cost, days=30, by=by)
        wanted = [line.pk for line in sent.lines.all() if yes or line.kind != "part"]
        record_answer(
            sent, decided_by="Ms Vane", by=by, accepted_lines=wanted, must_refused_ok=True
        )
        card = open_card_for(sent, by=by)
        if yes and drawn:
            draw_part(row_of(card, part), quantity=D(drawn), by=by, key=a_key())
        if back:
            give_part_back(row_of(card, part), quantity=D(back), by=by, key=a_key())
        JobCard.objects.filter(pk=card.pk).update(
            state=CardState.RELEASED.value, released_by=by, released_at=days_ago(days)
        )
        return sent

    return run


def told(days=10):
    today = timezone.localdate()
    rows = part_margins(today - dt.timedelta(days=days), today)
    return {row.part.code: (row.charged_for, row.used, row.charged, row.cost) for row in rows}


def test_charged_stands_beside_what_the_draws_cost(repaired):
    repaired()
    # both lots came in before the draws: at 3.00 and 5.00 one costs 4.00 on average
    line = repaired("rim", cost="5.00").lines.get(kind="part")
    assert told() == {"cones": (2, 2, 2 * line.net, D("8.00"))}
    today = timezone.localdate()
    rows = part_margins(today, today)
    assert rows[0].margin == 2 * line.net - D(8)
    assert rows[0].share == rows[0].margin / (2 * line.net)
    assert sums_of(rows).margin == rows[0].margin


def test_what_came_back_costs_nothing_and_is_told_to_differ(repaired, client):
    repaired(back=1)
    assert told()["cones"][1:] == (0, D("8.00"), 0)
    sign_in(client, manager=True)
    assert "0 (differs)" in client.get(PAGE).content.decode()


def test_goods_entered_late_put_the_cost_right(repaired):
    repaired(cost="3.00")
    late = Part.objects.get(code="cones")
    come_in(late, 10, "1.00", days=40)
    assert told()["cones"][3] == D("2.00")


def test_only_repairs_released_in_the_time_are_counted(repaired):
    repaired(days=20)
    repaired("rim", purpose=Purpose.BUY_IN)
    assert told(days=10) == {}
    assert set(told(days=30)) == {"cones"}


def test_declined_parts_are_not_charged(repaired):
    repaired(yes=False)
    assert told() == {}


def test_a_draw_taken_back_costs_nothing(repaired):
    repaired()
    part = Part.objects.get(code="cones")
    draw = part.movements.get(kind="draw")
    reverse_movement(draw, reason="wrong", by=UserFactory.create(), key=a_key())
    assert told()["cones"][1:] == (0, D("8.00"), 0)


def test_as_many_queries_for_one_part_as_for_many(repaired, client):
    sign_in(client, manager=True)
    repaired()
    few = queries_of(client, PAGE)
    for number in range(4):
        repaired(f"code-{number}", part=f"part-{number}")
    assert queries_of(client, PAGE) == few
    assert queries_of(client, PAGE, export="csv") == few


@pytest.mark.parametrize(
    ("role", "status"),
    [(Role.MANAGER, 200), (Role.ACCOUNTANT, 200), (Role.DESK, 403), (Role.MECHANIC, 403)],
)
def test_only_who_may_see_costs_sees_it(client, role, status):
    sign_in(client, role=role)
    assert client.get(PAGE).status_code == status


@pytest.mark.parametrize("query", [{"first": "2026-03-02", "last": "2026-03-01"}, {"first": "x"}])
def test_days_out_of_order_are_refused(client, query):
    sign_in(client, manager=True)
    assert client.get(PAGE, query).status_code == 422


@pytest.mark.parametrize(("first", "last"), [("0001-01-01", ""), ("", "9999-12-31")])
def test_days_at_the_end_of_the_calendar_are_refused(client, first, last):
    sign_in(client, manager=True)
    assert client.get(PAGE, {"first": first, "last": last}).status_code == 422
