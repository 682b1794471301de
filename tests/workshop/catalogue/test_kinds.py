"""What is particular to kinds of the catalogue: dated rates, times, remedies, checkpoints."""

import datetime as dt
import re
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from tests.factories.inspections import CheckpointFactory, FaultFactory, MeasureFactory
from tests.factories.labour import (
    AccessStepFactory,
    LabourRateFactory,
    OperationFactory,
    RemedyFactory,
    RemedyPartFactory,
    SkillBandFactory,
)
from tests.factories.parts import PartFactory
from tests.factories.people import sign_in
from tests.factories.shop import VatRateFactory
from workshop.catalogue.forms import MOST_ROWS
from workshop.inspections.models import Checkpoint, Fault, Measure
from workshop.labour.models import AccessStep, LabourRate, Operation, Remedy
from workshop.shop.models import VatRate

pytestmark = pytest.mark.django_db


@pytest.fixture
def manager(client):
    client.person = sign_in(client, manager=True)
    return client


def new(client, slug, **data):
    return client.post(reverse("catalogue:new", args=(slug,)), data)


def change(client, slug, record, **data):
    return client.post(reverse("catalogue:edit", args=(slug, record.pk)), data)


def errors(response):
    assert response.status_code == 422
    return {name: " ".join(said) for name, said in response.context["form"].errors.items()}


def day(days):
    return timezone.localdate() + dt.timedelta(days=days)


# dated rates


def rate(band, valid_from, **more):
    return {
        "band": band.pk,
        "charged_net": "50",
        "cost_net": "22,50",
        "valid_from": valid_from,
    } | more


def test_a_new_rate_takes_over_from_a_day_and_the_old_one_stays(manager):
    old = LabourRateFactory.create()
    assert new(manager, "labour-rates", **rate(old.band, day(10))).status_code == 302
    assert list(LabourRate.objects.values_list("charged_net", flat=True)) == [50, 48]


@pytest.mark.parametrize("method", ["get", "post"])
def test_a_rate_in_force_is_not_changed_but_answered_with_what_to_do(manager, method):
    old = LabourRateFactory.create()
    url = reverse("catalogue:edit", args=("labour-rates", old.pk))
    response = getattr(manager, method)(url, rate(old.band, old.valid_from, charged_net="99"))
    assert response.status_code == (200 if method == "get" else 409)
    page = response.content.decode()
    assert "in force since 1 Jan 2020" in page
    assert reverse("catalogue:new", args=("labour-rates",)) in page
    old.refresh_from_db()
    assert old.charged_net == 48


def test_a_rate_that_is_to_come_may_still_be_changed(manager):
    coming = LabourRateFactory.create(valid_from=day(5))
    response = change(manager, "labour-rates", coming, **rate(coming.band, day(7)))
    assert response.status_code == 302
    coming.refresh_from_db()
    assert (coming.charged_net, coming.valid_from) == (50, day(7))


def test_a_rate_from_today_holds_from_today(manager):
    old = LabourRateFactory.create()
    assert new(manager, "labour-rates", **rate(old.band, day(0))).status_code == 302


def test_a_rate_for_the_past_is_refused_once_there_is_one(manager):
    old = LabourRateFactory.create()
    said = errors(new(manager, "labour-rates", **rate(old.band, day(-1))))
    assert "is past, and what was priced since keeps its price" in said["valid_from"]
    fresh = SkillBandFactory.create(code="fresh")
    assert new(manager, "labour-rates", **rate(fresh, day(-1))).status_code == 302


def test_two_rates_of_a_day_are_refused(manager):
    coming = LabourRateFactory.create(valid_from=day(5))
    said = errors(new(manager, "labour-rates", **rate(coming.band, day(5))))
    assert "Choose another day" in said["valid_from"]


def test_an_hour_for_nothing_is_refused(manager):
    said = errors(
        new(manager, "labour-rates", **rate(SkillBandFactory.create(), day(1), charged_net="0"))
    )
    assert "more than nothing" in said["charged_net"]


def test_a_vat_rate_is_typed_in_per_cent(manager):
    VatRateFactory.create()
    data = {"code": "standard", "rate": "17,5 %", "valid_from": day(3), "source": "notice"}
    assert new(manager, "vat-rates", **data).status_code == 302
    assert VatRate.objects.latest("valid_from").rate == Decimal("0.175")
    assert "17.5 %" in manager.get(reverse("catalogue:list", args=("vat-rates",))).content.decode()


def test_a_vat_rate_in_force_stays(manager):
    old = VatRateFactory.create()
    assert change(manager, "vat-rates", old, code="standard", rate="5").status_code == 409
    old.refresh_from_db()
    assert old.rate == Decimal("0.2")


# bands, operations, access steps


def test_a_code_is_made_of_the_name_and_no_two_are_the_same(manager):
    for _ in range(3):
        new(manager, "skill-bands", name="Wheel builder")
    codes = SkillBandFactory._meta.model.objects.values_list("code", flat=True)
    assert sorted(codes) == ["wheel-builder", "wheel-builder-2", "wheel-builder-3"]


def test_a_code_stays_when_the_name_is_changed(manager):
    band = SkillBandFactory.create(code="bench")
    change(manager, "skill-bands", band, name="The bench")
    band.refresh_from_db()
    assert (band.code, band.name) == ("bench", "The bench")


def operation(**more):
    return {
        "name": "Press the bushes",
        "minutes": "12,5",
        "band": SkillBandFactory.create().pk,
    } | more


def test_an_operation_is_entered_with_its_access_steps(manager):
    step, other = AccessStepFactory.create(), OperationFactory.create()
    response = new(manager, "operations", **operation(access=[step.pk], covers=[other.pk]))
    assert response.status_code == 302
    made = Operation.objects.get(code="press-the-bushes")
    assert made.minutes == Decimal("12.5")
    assert (list(made.access.all()), list(made.covers.all())) == ([step], [other])


@pytest.mark.parametrize(
    ("more", "field", "words"),
    [
        ({"minutes": "-5"}, "minutes", "greater than or equal to 0"),
        ({"minutes": "a while"}, "minutes", "“a while” is not a number"),
        ({"minutes_low": "20"}, "minutes", "Put them in order"),
        ({"minutes_high": "5"}, "minutes_high", "Put them in order"),
        (
            {"torque_low_nm": "9", "torque_high_nm": "5", "torque_source": "ours"},
            "torque_high_nm",
            "less",
        ),
        ({"torque_low_nm": "9"}, "torque_source", "Say where the torque comes from"),
    ],
)
def test_times_and_torques_that_cannot_be_are_refused(manager, more, field, words):
    said = errors(new(manager, "operations", **operation(**more)))
    assert words in said[field]
    assert not Operation.objects.exists()


def test_operations_do_not_make_each_other_needless(manager):
    one = OperationFactory.create()
    two = OperationFactory.create(covers=[one])
    said = errors(change(manager, "operations", one, **operation(covers=[two.pk, one.pk])))
    assert "makes this one needless already" in said["covers"]
    assert "can't make itself needless" in said["covers"]


def test_access_steps_do_not_come_after_themselves(manager):
    wheel = AccessStepFactory.create(code="wheel")
    sprockets = AccessStepFactory.create(code="sprockets", needs=[wheel])
    data = {"name": "Wheel", "minutes": "3", "band": wheel.band_id, "needs": [sprockets.pk]}
    said = errors(change(manager, "access-steps", wheel, **data))
    assert "wheel → sprockets → wheel" in said["needs"]
    assert not AccessStep.objects.get(code="wheel").needs.exists()


# remedies


def rows(*steps, parts=()):
    """Return what a browser sends of a remedy's operations and parts."""
    data = {
        "rows0-TOTAL_FORMS": len(steps),
        "rows0-INITIAL_FORMS": 0,
        "rows1-TOTAL_FORMS": len(parts),
        "rows1-INITIAL_FORMS": 0,
    }
    for place, step in enumerate(steps):
        data |= {
            f"rows0-{place}-operation": step.pk,
            f"rows0-{place}-quantity": 1,
            f"rows0-{place}-order": place,
        }
    for place, (part, quantity, step) in enumerate(parts):
        data |= {
            f"rows1-{place}-part": str(part),
            f"rows1-{place}-quantity": quantity,
            f"rows1-{place}-operation": step.pk,
        }
    return data


def test_a_remedy_is_entered_with_its_operations_and_parts(manager):
    press, part = OperationFactory.create(), PartFactory.create()
    data = rows(press, parts=[(part, "2,5", press)])
    response = new(manager, "remedies", name="New bushes", kind="renew", active="on", **data)
    assert response.status_code == 302
    remedy = Remedy.objects.get()
    assert [step.operation for step in remedy.steps.all()] == [press]
    assert [(row.part, row.quantity) for row in remedy.parts.all()] == [(part, Decimal("2.5"))]


def test_a_remedy_without_an_operation_is_refused(manager):
    said = errors(new(manager, "remedies", name="Hope", kind="adjust", **rows()))
    assert "needs at least one operation" in said["__all__"]
    assert not Remedy.objects.exists()


def test_a_part_that_no_operation_of_the_remedy_fits_is_refused(manager):
    press, other, part = OperationFactory.create(), OperationFactory.create(), PartFactory.create()
    data = rows(press, parts=[(part, 1, other)])
    said = errors(new(manager, "remedies", name="New bushes", kind="renew", **data))
    assert "which is not among the operations above" in said["__all__"]
    assert not Remedy.objects.exists()


def test_an_operation_twice_in_a_remedy_is_refused(manager):
    press = OperationFactory.create()
    response = new(manager, "remedies", name="New bushes", kind="renew", **rows(press, press))
    assert response.status_code == 422
    assert "duplicate" in response.content.decode()
    assert not Remedy.objects.exists()


@pytest.mark.parametrize("count", [MOST_ROWS + 1, 100_000, "9" * 30])
def test_a_tampered_form_does_not_get_rows_without_end(manager, count):
    data = rows(OperationFactory.create()) | {"rows0-TOTAL_FORMS": count}
    response = new(manager, "remedies", name="New bushes", kind="renew", **data)
    assert response.status_code == 422
    assert "submit at most" in response.content.decode()
    assert response.content.count(b"-operation") < 20 * MOST_ROWS
    assert not Remedy.objects.exists()


def test_rows_are_changed_and_taken_away_and_the_history_says_so(manager):
    press, clean = OperationFactory.create(name="Press"), OperationFactory.create(name="Clean")
    remedy = RemedyFactory.create(does=[press, clean])
    row = RemedyPartFactory.create(
        remedy=remedy, operation=press, part=PartFactory.create(name="Bush")
    )
    first, second = remedy.steps.all()
    data = rows(press, clean, parts=[(row.part, 4, press)]) | {
        "rows0-INITIAL_FORMS": 2,
        "rows0-0-id": first.pk,
        "rows0-1-id": second.pk,
        "rows0-1-DELETE": "on",
        "rows1-INITIAL_FORMS": 1,
        "rows1-0-id": row.pk,
    }
    response = change(
        manager, "remedies", remedy, name=remedy.name, kind="renew", active="on", **data
    )
    assert response.status_code == 302
    assert [step.operation for step in remedy.steps.all()] == [press]
    row.refresh_from_db()
    assert row.quantity == 4
    page = manager.get(reverse("catalogue:history", args=("remedies", remedy.pk))).content.decode()
    assert "kind: service → renew" in page
    assert "remedy part: Press · Bush" in page
    assert re.search(r"remedy operation: Clean · 1 · \d → –", page)
    assert page.count(f"by {manager.person}") == 1


# checkpoints, faults, measures


def checkpoint(**more):
    return {
        "name": "Rear pivot",
        "zone": "rear",
        "order": "7",
        "how_to_test": "Hold the stay and rock it.",
        "what_fools": "Play at the hinge.",
        "active": "on",
    } | more


def test_a_checkpoint_is_entered_for_some_bikes_only(manager):
    data = checkpoint(frames=["folding"], equipment=["has_rack"])
    assert new(manager, "checkpoints", **data).status_code == 302
    made = Checkpoint.objects.get()
    assert (made.code, made.frames, made.brakes, made.equipment) == (
        "rear-pivot",
        ["folding"],
        [],
        ["has_rack"],
    )


def test_two_checkpoints_do_not_stand_at_one_place_of_the_walk(manager):
    CheckpointFactory.create(order=7)
    assert "already exists" in errors(new(manager, "checkpoints", **checkpoint()))["order"]


def test_a_checkpoint_for_unknown_bikes_is_refused(manager):
    said = errors(new(manager, "checkpoints", **checkpoint(frames=["penny-farthing"])))
    assert "not one of the available choices" in said["frames"]


def test_a_fault_has_its_checkpoint_in_its_code(manager):
    point = CheckpointFactory.create(code="rear-pivot")
    data = {
        "checkpoint": point.pk,
        "name": "Play",
        "words": "The pivot has play.",
        "default_judgement": "needs_work",
        "order": 1,
        "rows0-TOTAL_FORMS": 1,
        "rows0-INITIAL_FORMS": 0,
        "rows0-0-remedy": RemedyFactory.create().pk,
        "rows0-0-rank": 1,
        "rows0-0-from_judgement": "watch",
    }
    assert new(manager, "faults", **data).status_code == 302
    fault = Fault.objects.get()
    assert fault.code == "rear-pivot-play"
    assert fault.options.count() == 1


def test_a_remedy_twice_at_a_fault_is_refused(manager):
    fault, remedy = FaultFactory.create(), RemedyFactory.create()
    data = {"rows0-TOTAL_FORMS": 2, "rows0-INITIAL_FORMS": 0}
    for place in range(2):
        data |= {
            f"rows0-{place}-remedy": remedy.pk,
            f"rows0-{place}-rank": place + 1,
            f"rows0-{place}-from_judgement": "watch",
        }
    response = change(
        manager,
        "faults",
        fault,
        checkpoint=fault.checkpoint_id,
        name="Play",
        words="Play.",
        default_judgement="watch",
        order=1,
        **data,
    )
    assert response.status_code == 422
    assert not fault.options.exists()


@pytest.mark.parametrize(
    ("more", "field"),
    [({"plausible_min": "50"}, "plausible_max"), ({"decimals": "4"}, "decimals")],
)
def test_a_measure_has_a_range_and_few_decimals(manager, more, field):
    point = MeasureFactory.create().checkpoint
    data = {
        "checkpoint": point.pk,
        "name": "Play",
        "unit": "mm",
        "plausible_min": "0",
        "plausible_max": "50",
        "decimals": "2",
        "order": "1",
    }
    assert field in errors(new(manager, "measures", **data | more))
    assert new(manager, "measures", **data).status_code == 302
    assert Measure.objects.latest("pk").code == f"{point.code}-play"
