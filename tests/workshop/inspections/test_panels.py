"""What this room shows on a bike's page."""

import pytest

from tests.factories.bikes import BikeFactory
from tests.factories.inspections import CheckFactory, FindingFactory
from tests.factories.people import UserFactory
from workshop.bikes.panels import panels_for
from workshop.inspections.panels import inspection_panel
from workshop.inspections.verbs.finish import finish_inspection

pytestmark = pytest.mark.django_db


@pytest.fixture
def request_by(rf):
    """A request of a person of that kind."""

    def make(**person):
        request = rf.get("/")
        request.user = UserFactory(**person)
        return request

    return make


def labels(panel):
    return [(action.label, action.post) for action in panel.actions]


def test_a_bike_not_inspected_offers_to_start(request_by):
    panel = inspection_panel(request_by(), BikeFactory())
    assert labels(panel) == [("Start the inspection", True)]


def test_an_open_inspection_is_gone_on_with(request_by, inspection):
    panel = inspection_panel(request_by(), inspection.bike)
    assert labels(panel) == [("Go on with the inspection", False)]
    assert panel.actions[0].url == f"/inspections/{inspection.pk}/"


def test_a_finished_one_may_be_followed_by_another(request_by, inspection, sam):
    finish_inspection(inspection, sam, rest_because="x")
    assert labels(inspection_panel(request_by(), inspection.bike)) == [("Inspect it again", True)]


def test_the_accountant_may_look_and_not_start(request_by, inspection):
    panel = inspection_panel(request_by(accountant=True), inspection.bike)
    assert panel.actions == ()
    assert {mark.url for mark in panel.context["drawing"].marks} == {""}


def test_it_stands_on_the_bikes_page(request_by, inspection):
    titles = [panel.title for panel in panels_for(request_by(), inspection.bike)]
    assert "Inspection" in titles


def test_findings_are_listed_with_their_judgement(client, inspection, points, sam):
    CheckFactory(inspection=inspection, checkpoint=points[0])
    FindingFactory(
        check_made__inspection=inspection, fault=points[1].faults.get(code="hinge-crack")
    )
    client.force_login(sam)
    page = client.get(f"/bikes/{inspection.bike_id}/").content.decode()
    assert "Crack at the weld" in page
    assert "2 of 4" in page
    assert "deal-breaker" in page
