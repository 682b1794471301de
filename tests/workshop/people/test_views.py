"""Signing in, one's own password, the list of people, letting them in and shutting them out."""

import json

import pytest
from django.core.management import call_command
from django.test import Client
from django.urls import reverse

from tests.asking import queries_of
from tests.factories.people import PASSWORD, UserFactory, sign_in
from workshop.people.models import Role, User
from workshop.shop import demo
from workshop.shop.models import Shop

pytestmark = pytest.mark.django_db

LIST, NEW = reverse("people:list"), reverse("people:new")
LOGIN = reverse("login")


@pytest.fixture
def manager(client):
    client.person = sign_in(client, manager=True)
    return client


def typed(**more):
    return {
        "username": "robin",
        "first_name": "Robin",
        "role": "mechanic",
        "is_active": "on",
        "password": "a-long-way-round",
    } | more


def page_of(person):
    return reverse("people:edit", args=(person.pk,))


# signing in


def test_a_person_signs_in_and_comes_where_they_wanted_to(client):
    person = UserFactory.create()
    wanted = reverse("bikes:list")
    response = client.get(wanted)
    response = client.post(
        response["Location"], {"username": person.username, "password": PASSWORD}
    )
    assert response["Location"] == wanted


@pytest.mark.parametrize("wrong", [{"password": "wrong"}, {"username": "nobody"}, {"password": ""}])
def test_a_wrong_login_says_so_and_not_what_was_wrong(client, wrong):
    person = UserFactory.create()
    response = client.post(LOGIN, {"username": person.username, "password": PASSWORD} | wrong)
    assert response.status_code == 200
    assert response.context["form"].errors
    assert "_auth_user_id" not in client.session


def test_a_login_not_in_use_does_not_sign_in(client):
    person = UserFactory.create(is_active=False)
    client.post(LOGIN, {"username": person.username, "password": PASSWORD})
    assert "_auth_user_id" not in client.session


def test_who_is_signed_in_already_goes_on_to_today(client):
    sign_in(client)
    assert client.get(LOGIN)["Location"] == reverse("home")


def test_the_way_on_never_leads_off_the_site(client):
    person = UserFactory.create()
    response = client.post(
        f"{LOGIN}?next=https://elsewhere.example/",
        {"username": person.username, "password": PASSWORD},
    )
    assert response["Location"] == reverse("home")


def test_the_demo_shows_who_may_be_tried(client, settings, tmp_path):
    fixture = tmp_path / demo.PEOPLE
    fixture.parent.mkdir(parents=True)
    person = {"username": "sam", "name": "Sam Tester", "role": "manager"}
    fixture.write_text(json.dumps({"password": "try-me-out", "people": [person]}))
    settings.BASE_DIR = tmp_path
    assert "try-me-out" not in client.get(LOGIN).content.decode()
    UserFactory.create(username="sam")
    assert "sam / try-me-out" in client.get(LOGIN).content.decode()
    settings.DEMO = False
    assert "try-me-out" not in client.get(LOGIN).content.decode()


def test_signing_out_needs_a_click_not_a_link(client):
    sign_in(client)
    assert client.get(reverse("logout")).status_code == 403
    assert client.post(reverse("logout")).status_code == 302
    assert "_auth_user_id" not in client.session


def test_a_person_changes_their_own_password(client):
    person = sign_in(client)
    response = client.post(
        reverse("password_change"),
        {
            "old_password": PASSWORD,
            "new_password1": "over-the-hills",
            "new_password2": "over-the-hills",
        },
        follow=True,
    )
    assert "Your password is changed." in response.content.decode()
    person.refresh_from_db()
    assert person.check_password("over-the-hills")


# the list


def test_the_list_shows_everybody_those_in_use_first(manager):
    UserFactory.create(username="aa", is_active=False)
    names = [row.record.username for row in manager.get(LIST).context["table"].rows]
    assert names == [manager.person.username, "aa"]


def test_the_list_runs_as_many_queries_for_many_as_for_few(manager):
    few = queries_of(manager, LIST)
    UserFactory.create_batch(15)
    assert queries_of(manager, LIST) == few


# letting in


def test_a_person_is_let_in_and_can_sign_in(manager):
    response = manager.post(NEW, typed(), follow=True)
    assert "Robin is saved." in response.content.decode()
    assert Client().login(username="robin", password="a-long-way-round")
    assert User.objects.get(username="robin").role == "mechanic"


@pytest.mark.parametrize(
    ("more", "field", "words"),
    [
        ({"username": ""}, "username", "required"),
        ({"username": "ro bin"}, "username", "valid username"),
        ({"password": ""}, "password", "required"),
        ({"password": "12345678"}, "password", "too common"),
        ({"password": "short"}, "password", "too short"),
        ({"username": "longwayround", "password": "longwayround"}, "password", "similar"),
        ({"role": "owner"}, "role", "not one of the available choices"),
        ({"role": ""}, "role", "required"),
    ],
)
def test_what_is_wrong_is_said_at_its_field_and_nobody_is_let_in(manager, more, field, words):
    response = manager.post(NEW, typed(**more))
    assert response.status_code == 422
    assert words in " ".join(response.context["form"].errors[field])
    assert User.objects.count() == 1


def test_logins_that_differ_by_capitals_only_are_refused(manager):
    UserFactory.create(username="Robin", first_name="Robin", last_name="First")
    response = manager.post(NEW, typed())
    error = response.context["form"].errors["username"][0]
    assert error == "“Robin” is Robin First’s login. Choose another."


def test_nobody_becomes_a_superuser_by_the_form(manager):
    manager.post(NEW, typed(is_superuser="on", is_staff="on"))
    robin = User.objects.get(username="robin")
    assert (robin.is_superuser, robin.is_staff) == (False, False)


# changing


def test_an_empty_password_keeps_the_one_there_is(manager):
    person = UserFactory.create()
    manager.post(page_of(person), typed(username=person.username, password="", role="desk"))
    person.refresh_from_db()
    assert person.role == "desk"
    assert person.check_password(PASSWORD)


def test_a_new_password_ends_the_persons_sessions(manager):
    theirs = Client()
    person = sign_in(theirs)
    manager.post(page_of(person), typed(username=person.username))
    assert theirs.get(reverse("home")).status_code == 302


def test_a_manager_who_changes_their_own_password_stays_signed_in(manager):
    person = manager.person
    manager.post(page_of(person), typed(username=person.username, role="manager"))
    person.refresh_from_db()
    assert person.check_password("a-long-way-round")
    assert manager.get(LIST).status_code == 200


@pytest.mark.parametrize("change", [{"role": "desk"}, {"is_active": ""}])
def test_the_last_manager_cannot_be_shut_out(manager, change):
    person = manager.person
    UserFactory.create(manager=True, is_active=False)
    response = manager.post(
        page_of(person), typed(username=person.username, role="manager", password="") | change
    )
    assert response.status_code == 422
    assert "This is the last manager in use" in response.content.decode()
    person.refresh_from_db()
    assert (person.role, person.is_active) == ("manager", True)


def test_one_of_two_managers_may_step_back(manager):
    UserFactory.create(manager=True)
    person = manager.person
    response = manager.post(
        page_of(person), typed(username=person.username, role="desk", password="")
    )
    assert response.status_code == 302


def test_a_wrong_change_leaves_the_heading_as_it_was(manager):
    person = UserFactory.create(first_name="Ada", last_name="Moss")
    response = manager.post(page_of(person), typed(username="", first_name="Bo"))
    assert response.status_code == 422
    assert "Ada Moss</h1>" in response.content.decode()


# the first one


def test_a_new_shops_first_manager_is_made_on_the_command_line_and_sets_the_shop_up(client):
    call_command("createsuperuser", username="first", email="", interactive=False, verbosity=0)
    first = User.objects.get()
    assert first.role == Role.MANAGER
    client.force_login(first)
    page = client.get(reverse("shop:edit"))
    form = page.context["form"]
    own = {"name": "Spoke & Hinge", "address": "1 Mill Row", "vat_number": "GB980780684"}
    sent = {name: form[name].value() or "" for name in form.fields} | own
    response = client.post(reverse("shop:edit"), sent)
    assert response.status_code == 302, response.context["form"].errors
    assert Shop.objects.get().name == "Spoke & Hinge"
    assert client.get(NEW).status_code == 200


def test_people_who_are_made_otherwise_are_no_managers():
    assert User.objects.create_user("somebody").role == Role.MECHANIC
