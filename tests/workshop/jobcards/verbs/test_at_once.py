"""Eight people at the bench at once: no tick is lost, nothing drawn twice, levels are right."""

import random
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from decimal import Decimal

import pytest
from django.db import connection

from inventory.stock.checking import problems
from inventory.stock.models import StockLevel, StockMovement
from tests.factories import jobcards as made
from tests.factories.people import UserFactory
from tests.factories.stock import stocked
from workshop.core.cardstates import CardStateError
from workshop.jobcards.errors import JobCardError, StaleTaskError
from workshop.jobcards.models import CardEvent, JobCard, Task, TaskPart
from workshop.jobcards.verbs.parts import draw_part, give_part_back
from workshop.jobcards.verbs.tick import tick, untick

pytestmark = pytest.mark.django_db(transaction=True)
WRITERS = 8


def together(jobs):
    """Run jobs in eight threads, each with a connection of its own; return what each gave."""

    def run(job):
        try:
            return job()
        except (JobCardError, CardStateError) as error:
            return error
        finally:
            connection.close()

    with ThreadPoolExecutor(WRITERS) as pool:
        return list(pool.map(run, jobs))


def test_of_eight_who_tick_at_once_one_wins_and_all_others_hear_who():
    card = made.a_card()
    people = [UserFactory.create() for _ in range(WRITERS)]
    hub = made.task_of(card, "hub")
    jobs = [lambda p=person: tick(hub, by=p, key=made.a_key(), base_version=1) for person in people]
    done = together(jobs)
    winners = [each for each in done if isinstance(each, Task)]
    assert len(winners) == 1
    others = [each for each in done if isinstance(each, StaleTaskError)]
    assert len(others) == WRITERS - 1
    assert {each.task.done_by for each in others} == {winners[0].done_by}


def test_one_tick_sent_by_eight_connections_is_one():
    card, person = made.a_card(), UserFactory.create()
    hub = made.task_of(card, "hub")
    done = together([lambda: tick(hub, by=person, key="k", base_version=1)] * WRITERS)
    assert {each.version for each in done} == {2}
    assert CardEvent.objects.count() == 1


def bench(cards, tasks):
    """Cards that share three parts, of which there are fewer than all cards want."""
    shared = [stocked(quantity, code=f"shared-{quantity}") for quantity in (9, 12, 15)]
    for n in range(tasks):
        made.operation(f"job-{n}", *(["wheel-out"] if n % 2 else []))
    codes = [f"job-{n}" for n in range(tasks)]
    parts = tuple((codes[n], part, 5) for n, part in enumerate(shared))
    return [made.a_card(made.asked(*codes, parts=parts)) for _ in range(cards)]


def act(seed, person, key, task, row):
    """One thing that somebody does, on top of what they last saw."""

    def run():
        rng = random.Random(seed)
        seen = Task.objects.get(pk=task)
        kind = rng.choice(("tick", "tick", "untick", "draw", "draw", "back"))
        version = seen.version - (rng.random() < 0.1)
        if kind == "tick":
            tick(seen, by=person, key=key, base_version=version)
        elif kind == "untick":
            untick(seen, by=person, key=key, base_version=version)
        else:
            fresh = TaskPart.objects.select_related("task").get(pk=row)
            verb = draw_part if kind == "draw" else give_part_back
            verb(fresh, quantity=Decimal(rng.randint(1, 2)), by=person, key=key)
        return kind

    return run


@pytest.mark.postgres
def test_two_thousand_things_done_at_once_leave_no_trace_of_a_mistake():
    rng = random.Random(7)
    cards = bench(6, 8)
    people = [UserFactory.create() for _ in range(WRITERS)]
    tasks = list(Task.objects.filter(kind="work").values_list("pk", flat=True))
    rows = list(TaskPart.objects.values_list("pk", flat=True))
    jobs = []
    for n in range(1000):
        once = act(n, rng.choice(people), f"k{n}", rng.choice(tasks), rng.choice(rows))
        again = act(n, rng.choice(people), f"k{n}", rng.choice(tasks), rng.choice(rows))
        jobs += [once, again if rng.random() < 0.3 else once]
    rng.shuffle(jobs)
    assert len(jobs) == 2000
    done = together(jobs)
    count = Counter(each if isinstance(each, str) else "refused" for each in done)
    assert min(count[kind] for kind in ("tick", "untick", "draw", "back", "refused")) > 20, count
    check_ticks()
    check_parts()
    assert list(problems()) == []
    for card in JobCard.objects.filter(pk__in=[each.pk for each in cards]):
        left = card.tasks.filter(state="to_do").count()
        assert (card.state == "checking") is (left == 0)
        assert card.version == card.events.count()


def check_ticks():
    """No tick is lost: what each task says is what was done with it, one version a change."""
    for task in Task.objects.filter(kind="work"):
        events = list(
            CardEvent.objects.filter(card=task.card, action__in=["tick", "untick"])
            .filter(subject=task.pk)
            .order_by("pk")
        )
        assert [each.action for each in events] == [
            "untick" if n % 2 else "tick" for n in range(len(events))
        ]
        assert task.version == 1 + len(events)
        assert task.is_done is bool(len(events) % 2)
        assert task.done_by == (events[-1].by if task.is_done else None)


def check_parts():
    """Nothing is drawn twice: a movement an event, and never more out than wanted or there."""
    for row in TaskPart.objects.select_related("part"):
        assert 0 <= row.out <= row.wanted
        assert row.drawn == sum(each.quantity for each in row.draws.all())
        assert row.returned == sum(each.returned for each in row.draws.all())
        drawn = CardEvent.objects.filter(action="draw", subject=row.pk).count()
        assert row.draws.count() == drawn
    assert (
        StockMovement.objects.filter(kind="draw").count()
        == CardEvent.objects.filter(action="draw").count()
    )
    for level in StockLevel.objects.all():
        assert level.on_hand >= level.reserved >= 0
        out = sum(row.out for row in TaskPart.objects.filter(part=level.part))
        came = sum(
            each.quantity for each in StockMovement.objects.filter(part=level.part, kind="goods_in")
        )
        assert level.on_hand == came - out
