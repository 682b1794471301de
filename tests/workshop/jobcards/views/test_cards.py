"""The list of job cards, a card's page, and what it is told of changes."""

import datetime as dt
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from tests.asking import queries_of
from tests.factories import jobcards as made
from tests.factories.people import UserFactory, sign_in
from tests.factories.stock import stocked
from workshop.core.judgement import Importance, Judgement
from workshop.jobcards.asked import DeclinedAsked
from workshop.jobcards.models import JobCard, Task, TimeSpan
from workshop.jobcards.verbs.parts import draw_part
from workshop.jobcards.verbs.tick import tick, untick
from workshop.jobcards.verbs.times import start_time


def url(name, card, *more):
    return reverse(f"jobcards:{name}", args=(card.pk, *more))


def page(client, card):
    return client.get(url("card", card)).content.decode()


def live(client, card, version, running=0):
    return client.get(url("live", card), {"version": version, "running": running})


def big_card(tasks, name):
    """A card with so many tasks, each behind a step of its own, with a part, a time and a tick."""
    codes = [made.operation(f"{name}-{n}", f"behind-{name}-{n}") for n in range(tasks)]
    parts = tuple((code, stocked(9, code=f"part-{code}"), 1) for code in codes)
    declined = tuple(DeclinedAsked(f"No {n}", Importance.MUST) for n in range(tasks))
    card = made.a_card(made.asked(*codes, parts=parts, declined=declined))
    for code in codes:
        person, task = UserFactory.create(), made.task_of(card, code)
        row = made.row_of(card, f"part-{code}")
        draw_part(row, quantity=Decimal(1), by=person, key=made.a_key())
        start_time(task, by=person, key=made.a_key())
        tick(task, by=person, key=made.a_key(), base_version=task.version)
    return card


class TestList:
    def test_it_shows_the_cards_still_here_by_promise(self, client, bench):
        today = timezone.localdate()
        late = made.a_card(promised_on=today - dt.timedelta(days=1))
        soon = made.a_card(made.asked("hub"), promised_on=today + dt.timedelta(days=9))
        never = made.a_card(made.asked("rim"))
        gone = made.a_card(made.asked("hub"))
        JobCard.objects.filter(pk=gone.pk).update(
            state="released", released_by=UserFactory.create(), released_at=timezone.now()
        )
        html = client.get(reverse("jobcards:list")).content.decode()
        places = [html.index(each.number) for each in (late, soon, never)]
        assert places == sorted(places)
        assert ", late" in html
        assert gone.number not in html
        assert (
            gone.number in client.get(reverse("jobcards:list"), {"state": "all"}).content.decode()
        )

    def test_it_is_searched_by_the_bikes_number(self, client, bench):
        card, other = made.a_card(), made.a_card(made.asked("hub"))
        html = client.get(reverse("jobcards:list"), {"q": card.bike.stock_no}).content.decode()
        assert card.number in html
        assert other.number not in html

    def test_queries_do_not_grow(self, client, bench):
        made.a_card()
        few = queries_of(client, reverse("jobcards:list"))
        for _ in range(6):
            made.a_card(made.asked("hub", "rim"))
        assert queries_of(client, reverse("jobcards:list")) == few


class TestCard:
    def test_it_shows_the_tasks_in_the_order_of_the_work(self, client, bench, card):
        html = page(client, card)
        names = list(card.tasks.values_list("name", flat=True))
        places = [html.index(f": {name}</span>") for name in names]
        assert places == sorted(places)
        assert "17–25 N·m (150–221 lbf·in)" in html
        assert "0 of 4" in html

    def test_what_must_be_done_and_is_declined_stands_at_the_top(self, client, bench):
        made.operation("hub")
        no = DeclinedAsked(
            "New brake blocks",
            Importance.MUST,
            words="It may not stop.",
            judgement=Judgement.UNSAFE,
        )
        html = page(client, made.a_card(made.asked("hub", declined=(no,))))
        assert html.index("New brake blocks") < html.index('id="card-tasks"')
        assert "It may not stop." in html

    def test_short_parts_are_named(self, client, bench):
        made.operation("hub")
        card = made.a_card(made.asked("hub", parts=(("hub", stocked(1, name="Cones"), 3),)))
        assert "2 pc Cones" in page(client, card)

    def test_what_is_to_be_drawn_leads_to_where_it_is_drawn(self, client, bench, card):
        row = made.row_of(card, "cones")
        address = f'href="{reverse("jobcards:parts", args=(card.pk,))}#part-{row.pk}"'
        assert address in page(client, card)
        draw_part(row, quantity=row.wanted, by=UserFactory.create(), key=made.a_key())
        assert address not in page(client, card)

    def test_once_begun_the_head_leads_down_to_what_comes_next(self, client, bench, card, ada):
        first, then = card.tasks.order_by("position")[:2]
        assert f'href="#task-{first.pk}"' not in page(client, card)
        tick(first, by=ada, key=made.a_key(), base_version=first.version)
        assert f'href="#task-{then.pk}"' in page(client, card)

    def test_the_makers_torque_goes_before_ours(self, client, bench, card):
        Task.objects.filter(pk=made.task_of(card, "hub").pk).update(
            maker_low_nm=11, maker_high_nm=12, maker_source="stamped on the cone"
        )
        html = page(client, card)
        assert "11–12 N·m (97–106 lbf·in)" in html
        assert "the maker: stamped on the cone" in html
        assert "17–25" not in html

    def test_minutes_spent_stand_beside_the_standard(self, client, bench, card, ada):
        now = timezone.now()
        TimeSpan.objects.create(
            task=made.task_of(card, "hub"),
            person=ada,
            started_at=now - dt.timedelta(minutes=30),
            stopped_at=now - dt.timedelta(minutes=5),
        )
        html = page(client, card)
        assert "25 min of 10 min" in html
        assert "longer than the standard time" in html

    def test_the_accountant_reads_and_does_nothing(self, client, card):
        sign_in(client, accountant=True)
        html = page(client, card)
        assert "Tick:" not in html
        assert "Start" not in html

    def test_queries_do_not_grow(self, client, bench):
        few = queries_of(client, url("card", big_card(2, "small")))
        assert queries_of(client, url("card", big_card(9, "big"))) == few

    def test_an_unknown_card_is_404(self, client, bench):
        assert client.get(reverse("jobcards:card", args=(9999,))).status_code == 404


class TestLive:
    def test_nothing_new_is_204_and_cheap(self, client, bench, card, django_assert_num_queries):
        with django_assert_num_queries(4):  # session, person, version, times that run
            answer = live(client, card, 0)
        assert answer.status_code == 204
        assert answer.content == b""

    def test_a_tick_comes_with_its_row_only(self, client, bench, card, ada):
        first, second = made.task_of(card, "wheel-out", "open"), made.task_of(card, "hub")
        tick(first, by=ada, key=made.a_key(), base_version=first.version)
        html = live(client, card, 0).content.decode()
        assert f'id="task-{first.pk}"' in html
        assert f'id="task-{second.pk}"' not in html
        assert "Ada Lune" in html
        assert "1 of 4" in html
        assert 'name="version" value="1"' in html
        assert live(client, card, 1).status_code == 204

    def test_a_tick_and_its_undo_are_seen(self, client, bench, card, ada):
        task = made.task_of(card, "hub")
        done = tick(task, by=ada, key=made.a_key(), base_version=task.version)
        untick(done, by=ada, key=made.a_key(), base_version=done.version)
        html = live(client, card, 1).content.decode()
        assert f'id="task-{task.pk}"' in html
        assert 'data-state="to_do"' in html

    def test_time_that_stopped_for_other_work_is_seen(self, client, bench, card, ada):
        hub, rim = made.task_of(card, "hub"), made.task_of(card, "rim")
        start_time(hub, by=ada, key=made.a_key())
        start_time(rim, by=ada, key=made.a_key())
        html = live(client, card, 1).content.decode()
        assert f'id="task-{hub.pk}"' in html
        assert f'id="task-{rim.pk}"' in html

    def test_time_that_stopped_for_another_card_is_seen(self, client, bench, card, ada):
        hub = made.task_of(card, "hub")
        other = made.a_card(made.asked("rim"))
        start_time(hub, by=ada, key=made.a_key())
        assert live(client, card, 1, running=1).status_code == 204
        start_time(made.task_of(other, "rim"), by=ada, key=made.a_key())
        html = live(client, card, 1, running=1).content.decode()
        assert f'id="task-{hub.pk}"' in html
        assert "Ada Lune since" not in html

    @pytest.mark.parametrize("version", [99, "", "x", "-1", "9" * 30])
    def test_a_version_that_never_was_gets_everything(self, client, bench, card, ada, version):
        task = made.task_of(card, "hub")
        tick(task, by=ada, key=made.a_key(), base_version=task.version)
        answer = live(client, card, version)
        assert answer.status_code == 200
        assert f'id="task-{task.pk}"' in answer.content.decode()
