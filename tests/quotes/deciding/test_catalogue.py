"""Hidden faults, packages and bonds on the catalogue's screens."""

from __future__ import annotations

from decimal import Decimal

import pytest

from quotes.deciding.models import HiddenRisk
from quotes.planning.models import RemedyBond, ServicePackage
from tests.factories import quotes as made
from tests.factories.people import sign_in
from tests.factories.planning import bond, hidden_risk, package

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager(client, shop):
    sign_in(client, manager=True)
    return client


def risk(**more):
    return {
        "words": "Rust under the paint",
        "probability": "8 %",
        "cost_low_net": "15",
        "cost_net": "35",
        "cost_high_net": "120",
        "age_from": "8",
        "source": "common practice, no source",
        "active": "on",
    } | more


def test_a_hidden_fault_is_entered_with_its_faults(manager):
    fault = made.fault("bubbles")
    address = "/catalogue/hidden-risks/new/"
    assert manager.get(address).status_code == 200
    response = manager.post(address, risk(faults=[fault.pk], frames=["folding"]))
    assert response.status_code == 302
    row = HiddenRisk.objects.get()
    assert (row.code, row.probability) == ("rust-under-the-paint", Decimal("0.08"))
    assert list(row.faults.all()) == [fault]
    assert row.frames == ["folding"]


@pytest.mark.parametrize(
    "wrong",
    [{"probability": "70"}, {"cost_high_net": "20"}, {"cost_low_net": "40"}, {"age_below": "3"}],
)
def test_what_cannot_be_is_refused(manager, wrong):
    assert manager.post("/catalogue/hidden-risks/new/", risk(**wrong)).status_code == 422
    assert not HiddenRisk.objects.exists()


def test_the_desk_does_not_see_what_hidden_faults_cost(client, shop):
    hidden_risk("rust", cost_net=Decimal("33.33"), cost_high_net=Decimal(70))
    sign_in(client, desk=True)
    text = client.get("/catalogue/hidden-risks/").content.decode()
    assert "rust" in text
    assert "33.33" not in text


def test_a_package_is_entered_and_changed(manager):
    faults = [made.fault(f"f{n}") for n in range(2)]
    service = made.remedy("service")
    data = {
        "name": "Wheel service",
        "remedy": service.pk,
        "at_least": "2",
        "faults": [each.pk for each in faults],
        "active": "on",
    }
    assert manager.post("/catalogue/service-packages/new/", data).status_code == 302
    row = ServicePackage.objects.get()
    assert (row.code, set(row.faults.all())) == ("wheel-service", set(faults))
    edit = f"/catalogue/service-packages/{row.pk}/"
    assert manager.post(edit, data | {"at_least": "1"}).status_code == 422
    assert "Wheel service" in manager.get("/catalogue/service-packages/").content.decode()


def test_a_bond_is_of_two_remedies(manager):
    one, other = made.remedy("one"), made.remedy("other")
    data = {"remedy": one.pk, "kind": "excludes", "other": one.pk, "words": "so", "active": "on"}
    address = "/catalogue/remedy-bonds/new/"
    assert manager.post(address, data).status_code == 422
    assert manager.post(address, data | {"other": other.pk}).status_code == 302
    assert manager.post(address, data | {"other": other.pk}).status_code == 422
    assert RemedyBond.objects.get().code == "one-excludes-other"
    assert "One" in manager.get("/catalogue/remedy-bonds/").content.decode()


def test_names_are_told(db):
    one, other = made.remedy("one"), made.remedy("other")
    assert str(bond(one, "needs", other)) == "One needs Other"
    assert str(package("wheel-service", one)) == "wheel service"
    assert str(hidden_risk("rust")) == "rust"
