"""What the browser is given for the dead spot: the worker, who is signed in, what may be kept."""

import pytest
from django.test import Client
from django.urls import reverse

from tests.factories import jobcards as made
from tests.factories.people import PASSWORD, UserFactory, sign_in
from tests.factories.shop import ShopFactory
from workshop.people.models import Role


@pytest.fixture(autouse=True)
def _shop(db):
    ShopFactory.create()


class TestWorker:
    def test_it_stands_at_the_root_and_is_asked_for_anew_each_time(self, client):
        sign_in(client)
        answer = client.get(reverse("offline:worker"))
        assert reverse("offline:worker").count("/") == 1  # it may serve what lies below it
        assert answer["Content-Type"].startswith("text/javascript")
        assert answer["Cache-Control"] == "no-cache"
        assert b"addEventListener" in b"".join(answer.streaming_content)

    def test_the_policy_lets_it_run(self, client):
        sign_in(client)
        answer = client.get(reverse("offline:worker"))
        assert "worker-src 'self'" in answer["Content-Security-Policy"]


class TestWho:
    def test_it_tells_the_person_and_a_token_to_post_with(self):
        client = Client(enforce_csrf_checks=True)
        person = sign_in(client, first_name="Tess", last_name="Wray")
        said = client.get(reverse("offline:who")).json()
        assert (said["person"], said["name"]) == (person.pk, "Tess Wray")
        headers = {"HTTP_X_CSRFTOKEN": said["token"]}
        assert client.post(reverse("logout"), **headers).status_code == 302

    def test_the_token_is_void_once_somebody_else_has_signed_in(self):
        client = Client(enforce_csrf_checks=True)
        sign_in(client)
        token = client.get(reverse("offline:who")).json()["token"]
        del client.cookies["sessionid"]  # the session ends; the cookie of the token stays
        form = {"username": UserFactory.create().username, "password": PASSWORD}
        form["csrfmiddlewaretoken"] = client.get(reverse("login")).context["csrf_token"]
        assert client.post(reverse("login"), form).status_code == 302
        answer = client.post(reverse("logout"), HTTP_X_CSRFTOKEN=token)
        assert answer.status_code == 403

    def test_it_is_never_kept(self, client):
        sign_in(client)
        assert "no-store" in client.get(reverse("offline:who"))["Cache-Control"]

    def test_nobody_is_led_to_sign_in(self, client):
        assert client.get(reverse("offline:who")).status_code == 302


class TestKeeping:
    def test_a_card_is_kept_for_who_sees_it(self, client):
        person = sign_in(client)
        answer = client.get(reverse("jobcards:card", args=(made.a_card().pk,)))
        assert answer["X-Keep-For"] == str(person.pk)

    @pytest.mark.parametrize("name", ["home", "bikes:list", "stock:list", "jobcards:list"])
    @pytest.mark.parametrize("role", [Role.MANAGER, Role.MECHANIC])
    def test_nothing_else_is(self, client, name, role):
        sign_in(client, role=role)
        assert "X-Keep-For" not in client.get(reverse(name))

    def test_a_card_says_no_more_to_who_sees_costs(self, client):
        """What is kept can be read by whoever holds the device: costs are not on it."""
        card = made.a_card()
        sign_in(client, manager=True)
        html = client.get(reverse("jobcards:card", args=(card.pk,))).content.decode()
        assert "cost" not in html.lower()
        assert "margin" not in html.lower()
