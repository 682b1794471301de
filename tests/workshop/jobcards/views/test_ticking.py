"""Ticks and times by browser, in place and by script: all three tell the truth."""

import datetime as dt

import pytest
from django.urls import reverse
from django.utils import timezone

from tests.factories import jobcards as made
from tests.factories.people import sign_in
from workshop.jobcards.models import CardEvent, JobCard, Task, TimeSpan
from workshop.jobcards.verbs.tick import tick

JSON = {"HTTP_ACCEPT": "application/json"}
HTMX = {"HTTP_HX_REQUEST": "true"}


@pytest.fixture
def task(card):
    return made.task_of(card, "hub")


def send(client, word, task, *, key="k1", base_version=1, **headers):
    data = {"key": key, "base_version": base_version, "version": 0}
    address = reverse(f"jobcards:{word}", args=(task.card_id, task.pk))
    return client.post(address, data, **headers)


def state_of(task):
    return Task.objects.get(pk=task.pk).state


class TestByForm:
    def test_a_tick_leads_back_to_its_row(self, client, bench, task):
        answer = send(client, "tick", task)
        assert answer.status_code == 302
        assert answer.url.endswith(f"#task-{task.pk}")
        assert state_of(task) == "done"

    def test_a_stale_tick_says_who_was_first(self, client, bench, task, ada):
        tick(task, by=ada, key="hers", base_version=1)
        answer = send(client, "tick", task)
        html = client.get(answer.url).content.decode()
        assert "Ada Lune has ticked it at" in html
        assert Task.objects.get(pk=task.pk).done_by == ada

    def test_no_key_is_no_key_at_all(self, client, bench, task):
        send(client, "tick", task, key="")
        assert state_of(task) == "done"
        send(client, "untick", task, key="x" * 65, base_version=2)
        assert state_of(task) == "to_do"


class TestInPlace:
    def test_a_tick_answers_the_row_head_and_foot(self, client, bench, task):
        html = send(client, "tick", task, **HTMX).content.decode()
        assert html.count(f'id="task-{task.pk}"') == 1
        assert "Tess Wray" in html
        for each in ("card-head", "card-foot", "card-live"):
            assert f'id="{each}"' in html
        assert "1 of 4" in html

    def test_a_stale_tick_brings_the_row_back_with_what_happened(self, client, bench, task, ada):
        tick(task, by=ada, key="hers", base_version=1)
        answer = send(client, "tick", task, **HTMX)
        html = answer.content.decode()
        assert answer.status_code == 422
        assert "Ada Lune has ticked it at" in html
        assert html.count(f'id="task-{task.pk}"') == 1
        assert 'data-state="done"' in html

    def test_what_others_did_comes_along(self, client, bench, task, ada):
        first = made.task_of(task.card, "wheel-out", "open")
        tick(first, by=ada, key="hers", base_version=1)
        html = send(client, "tick", task, **HTMX).content.decode()
        assert f'id="task-{first.pk}"' in html
        assert "2 of 4" in html


class TestByScript:
    def test_done_then_already_under_one_key(self, client, bench, task):
        first = send(client, "tick", task, **JSON)
        assert (first.status_code, first.json()["outcome"]) == (200, "done")
        again = send(client, "tick", task, **JSON)
        assert (again.status_code, again.json()["outcome"]) == (200, "already")
        assert again.json() | {"outcome": ""} == first.json() | {"outcome": ""}
        assert first.json() == {
            "outcome": "done",
            "words": "",
            "key": "k1",
            "task": task.pk,
            "state": "done",
            "version": 2,
            "card_version": 1,
        }
        assert CardEvent.objects.count() == 1

    def test_a_conflict_says_how_it_stands(self, client, bench, task, ada):
        tick(task, by=ada, key="hers", base_version=1)
        answer = send(client, "tick", task, **JSON)
        assert answer.status_code == 409
        assert answer.json()["outcome"] == "conflict"
        assert "Ada Lune" in answer.json()["words"]
        assert (answer.json()["state"], answer.json()["version"]) == ("done", 2)

    def test_a_key_used_for_something_else_is_refused(self, client, bench, task):
        send(client, "tick", task, **JSON)
        answer = send(client, "untick", task, base_version=2, **JSON)
        assert answer.status_code == 422
        assert answer.json()["outcome"] == "refused"
        assert state_of(task) == "done"

    def test_a_released_card_refuses(self, client, bench, task, ada):
        card = task.card
        type(card).objects.filter(pk=card.pk).update(
            state="released", released_by=ada, released_at="2026-01-01T10:00Z"
        )
        answer = send(client, "tick", task, **JSON)
        assert answer.status_code == 422
        assert "released" in answer.json()["words"]

    def test_a_task_of_another_card_is_404(self, client, bench, task):
        address = reverse("jobcards:tick", args=(9999, task.pk))
        assert client.post(address, {"key": "k"}).status_code == 404


class TestTime:
    def test_it_starts_and_stops_for_who_asks(self, client, bench, task):
        html = send(client, "start", task, **HTMX).content.decode()
        assert "Tess Wray since" in html
        assert "Pause" in html
        send(client, "stop", task, key="k2")
        assert not TimeSpan.objects.filter(stopped_at=None).exists()

    def test_a_tick_stops_it(self, client, bench, task):
        send(client, "start", task)
        send(client, "tick", task, key="k2")
        assert not TimeSpan.objects.filter(stopped_at=None).exists()

    @pytest.mark.parametrize("word", ["tick", "untick", "start", "stop"])
    def test_it_is_not_done_by_looking(self, client, bench, task, word):
        address = reverse(f"jobcards:{word}", args=(task.card_id, task.pk))
        assert client.get(address).status_code in {403, 405}

    def test_the_accountant_may_not(self, client, task):
        sign_in(client, accountant=True)
        assert send(client, "tick", task).status_code == 403
        assert state_of(task) == "to_do"


class TestDoneBefore:
    def test_the_browser_says_how_long_ago(self, client, bench, task):
        JobCard.objects.update(opened_at=timezone.now() - dt.timedelta(days=2))
        address = reverse("jobcards:tick", args=(task.card_id, task.pk))
        data = {"key": "k1", "base_version": 1, "seconds_ago": 3600}
        assert client.post(address, data, **JSON).json()["outcome"] == "done"
        hour = timezone.now() - Task.objects.get(pk=task.pk).done_at
        assert 3590 < hour.total_seconds() < 3660

    @pytest.mark.parametrize("said", ["-5", "soon", "1e9", "9999999999", "0", ""])
    def test_what_is_no_such_time_is_now(self, client, bench, task, said):
        address = reverse("jobcards:tick", args=(task.card_id, task.pk))
        client.post(address, {"key": "k1", "base_version": 1, "seconds_ago": said}, **JSON)
        away = timezone.now() - Task.objects.get(pk=task.pk).done_at
        assert away.total_seconds() < 60
