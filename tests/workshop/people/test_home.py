"""The first page: what waits for whom."""

import pytest
from django.test import Client
from django.urls import reverse

from tests.asking import queries_of
from tests.factories.bikes import BikeFactory
from tests.factories.inspections import InspectionFactory
from tests.factories.people import sign_in
from workshop.bikes.models import Stage
from workshop.people import panels

pytestmark = pytest.mark.django_db

HOME = reverse("home")


@pytest.fixture
def _some_of_all():
    for stage in Stage:
        BikeFactory.create(stage=stage, make=f"Made at {stage.label}")
    InspectionFactory.create(bike=BikeFactory.create(stage=Stage.INSPECTING, make="Half seen"))


def titles(**role):
    client = Client()
    sign_in(client, **role)
    return [panel.title for panel, _ in client.get(HOME).context["panels"]]


@pytest.mark.usefixtures("_some_of_all")
def test_each_role_is_shown_what_waits_for_it():
    bench = ["Inspections to go on with", "To be inspected"]
    office = "Inspected, to be quoted"
    assert titles(manager=True)[:3] == [*bench, office]
    assert titles(desk=True)[:3] == [*bench, office]
    assert titles() == [*bench, "Bikes by stage"]
    assert office not in titles(accountant=True)
    assert not set(bench) & set(titles(accountant=True))


@pytest.mark.usefixtures("_some_of_all")
def test_what_waits_leads_to_where_it_is_done(client):
    sign_in(client)
    page = client.get(HOME).content.decode()
    assert "Half seen" in page
    assert "Made at booked in" in page
    assert "Made at inspected" not in page
    assert f"{reverse('bikes:list')}?stage=refused" in page


def test_the_longest_here_stands_first_and_the_rest_are_one_click_away(client):
    bikes = BikeFactory.create_batch(9)
    sign_in(client)
    page = client.get(HOME).content.decode()
    assert page.index(bikes[0].stock_no) < page.index(bikes[1].stock_no)
    assert bikes[8].stock_no not in page
    assert "All 9" in page


def test_an_empty_shop_is_told_how_to_begin(client):
    sign_in(client, desk=True)
    page = client.get(HOME).content.decode()
    assert "No bike is here yet" in page
    assert reverse("bikes:book_in") in page


def test_the_counts_by_stage_are_right(client):
    BikeFactory.create_batch(3)
    BikeFactory.create(stage=Stage.SENT)
    sign_in(client, accountant=True)
    panel = next(p for p, _ in client.get(HOME).context["panels"] if p.title == "Bikes by stage")
    counts = {stage: count for stage, count, _ in panel.context["stages"]}
    assert counts == dict.fromkeys(Stage, 0) | {Stage.BOOKED_IN: 3, Stage.SENT: 1}


@pytest.mark.parametrize("role", ["manager", "desk", "accountant"])
def test_the_page_runs_as_many_queries_for_many_as_for_few(client, role):
    def some(count):
        for stage in Stage:
            BikeFactory.create_batch(count, stage=stage)
        for _ in range(count):
            InspectionFactory.create()

    sign_in(client, **{role: True})
    some(1)
    few = queries_of(client, HOME)
    some(8)
    assert queries_of(client, HOME) == few


def test_other_rooms_add_their_part(client, monkeypatch):
    registry = panels.Registry()
    monkeypatch.setattr("workshop.people.views.home_panels", registry.panels)
    registry.register(lambda _r: panels.Panel("Ours", "components/empty.html", {"title": "hello"}))
    sign_in(client)
    assert "hello" in client.get(HOME).content.decode()
