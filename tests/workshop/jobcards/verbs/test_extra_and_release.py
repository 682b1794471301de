"""Extra work stops what it touches; a bike leaves only once all is done, signed and safe."""

import datetime as dt
from decimal import Decimal

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from inventory.stock.models import StockLevel
from tests.factories import jobcards as made
from tests.factories.inspections import FaultFactory, MeasureFactory, ReadingFactory, jpeg
from tests.factories.people import UserFactory
from workshop.bikes.models import Bike, Stage
from workshop.core.cardstates import CardStateError
from workshop.core.judgement import Importance
from workshop.inspections.models import Finding, Photo
from workshop.jobcards import hooks
from workshop.jobcards.asked import DeclinedAsked
from workshop.jobcards.models import ExtraWork, ReleaseCheck
from workshop.jobcards.signing import standing_of
from workshop.jobcards.verbs.read import note_readings
from workshop.jobcards.verbs.release import CannotReleaseError, NotToldError, release_bike
from workshop.jobcards.verbs.report_extra import ExtraError, report_extra
from workshop.jobcards.verbs.sign import SignError, sign, unsign
from workshop.jobcards.verbs.take_answer import take_answer
from workshop.jobcards.verbs.tick import tick
from workshop.jobcards.verbs.times import start_time

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def told(monkeypatch):
    """Nobody stands above: what the bench tells is only noted."""
    heard = []
    monkeypatch.setattr(hooks, "_askers", [lambda extra, by: heard.append((extra.pk, by))])
    return heard


@pytest.fixture
def item():
    return made.release_item("brakes")


def photo():
    return SimpleUploadedFile("crack.jpg", jpeg(), "image/jpeg")


def report(card, by, fault=None, stops=(), key="x1", photos=None):
    fault = fault or FaultFactory.create(code="crack", default_judgement="unsafe")
    shown = [photo()] if photos is None else photos
    pks = [made.task_of(card, code).pk for code in stops]
    return report_extra(card, fault, by=by, key=key, note="Seen.", photos=shown, stops=pks)


# extra work


def test_extra_work_is_a_finding_of_the_inspection_with_its_photo(card, ada, told):
    extra = report(card, ada)
    finding = Finding.objects.get(fault__code="crack")
    assert finding.check_made.inspection == card.inspection
    assert finding.by == ada
    assert Photo.objects.get().check_made == finding.check_made
    card.inspection.refresh_from_db()
    assert card.inspection.finished_at is not None
    assert (extra.finding, extra.state) == (finding, "waiting")
    assert told == [(extra.pk, ada)]
    assert Bike.objects.get().stage == Stage.IN_WORK


def test_it_stops_the_tasks_named_and_the_rest_goes_on(card, ada):
    report(card, ada, stops=("hub",))
    assert made.task_of(card, "hub").state == "stopped"
    rim = made.task_of(card, "rim")
    assert tick(rim, by=ada, key="k1", base_version=1).is_done
    card.refresh_from_db()
    assert card.state == "working"


def test_what_is_done_already_is_not_stopped(card, ada):
    hub = made.task_of(card, "hub")
    tick(hub, by=ada, key="k1", base_version=1)
    report(card, ada, stops=("hub",))
    assert made.task_of(card, "hub").state == "done"


def test_without_a_photo_nothing_is_kept(card, ada, told):
    with pytest.raises(ExtraError, match="photo") as refusal:
        report(card, ada, photos=[])
    assert refusal.value.field == "photos"
    assert not ExtraWork.objects.exists()
    assert not Finding.objects.exists()
    assert told == []


def test_sent_twice_it_is_reported_once(card, ada, told):
    fault = FaultFactory.create(code="crack")
    assert report(card, ada, fault) == report(card, ada, fault)
    assert len(told) == 1
    assert Photo.objects.count() == 1


def test_what_stands_there_already_is_kept_beside_it(ada):
    inspection = made.inspected_bike()
    old = made.found(inspection, "hub-play")
    measure = MeasureFactory.create(code="play", checkpoint=old.check_made.checkpoint)
    ReadingFactory.create(check_made=old.check_made, measure=measure, value=Decimal("0.2"))
    made.operation("hub")
    card = made.a_card(made.asked("hub", findings={"hub": old}), inspection=inspection)
    fault = FaultFactory.create(code="pitted", checkpoint=old.check_made.checkpoint)
    extra = report(card, ada, fault)
    check = extra.finding.check_made
    assert check == old.check_made
    assert {row.pk for row in check.findings.all()} == {old.pk, extra.finding_id}
    assert [row.value for row in check.readings.all()] == [Decimal("0.2")]


def test_a_fault_that_is_known_is_nothing_extra(ada):
    inspection = made.inspected_bike()
    old = made.found(inspection, "hub-play")
    made.operation("hub")
    card = made.a_card(made.asked("hub", findings={"hub": old}), inspection=inspection)
    with pytest.raises(ExtraError, match="already"):
        report(card, ada, old.fault)
    card.inspection.refresh_from_db()
    assert card.inspection.finished_at is not None


@pytest.mark.parametrize(("accepted", "state"), [(True, "accepted"), (False, "refused")])
def test_the_answer_lets_the_tasks_go_on(card, ada, accepted, state):
    extra = report(card, ada, stops=("hub",))
    made.operation("weld")
    codes = ("hub", "rim", "weld") if accepted else ("hub", "rim")
    work = made.asked(*codes, findings={"weld": extra.finding}, revision=2)
    take_answer(card, work, by=ada)
    extra.refresh_from_db()
    assert extra.state == state
    assert made.task_of(card, "hub").state == "to_do"


def test_an_answer_that_does_not_speak_of_it_leaves_it_waiting(card, ada):
    extra = report(card, ada, stops=("hub",))
    take_answer(card, made.asked("hub", "rim", revision=2), by=ada)
    extra.refresh_from_db()
    assert extra.state == "waiting"
    assert made.task_of(card, "hub").state == "stopped"


# the release check


def test_two_mechanics_the_one_who_did_less_signs(card, ada, ben, finish, item):
    finish(card, ada)
    with pytest.raises(SignError, match="somebody else"):
        sign(card, item, by=ada, key="s1")
    assert sign(card, item, by=ben, key="s2").by == ben


def test_a_mechanic_alone_in_the_shop_signs_their_own_work(card, ada, finish, item):
    type(ada).objects.exclude(pk=ada.pk).filter(role="mechanic").update(is_active=False)
    finish(card, ada)
    assert sign(card, item, by=ada, key="s1").by == ada


def test_of_two_who_shared_the_work_the_one_with_less_signs(card, ada, ben, finish, item):
    type(ada).objects.exclude(pk__in=[ada.pk, ben.pk]).update(is_active=False)
    made.operation("bell")
    made.operation("chain")
    take_answer(card, made.asked("hub", "rim", "bell", revision=2), by=ada)
    for code, person in (("hub", ada), ("rim", ada), ("bell", ben)):
        task = made.task_of(card, code)
        tick(task, by=person, key=made.a_key(), base_version=task.version)
    finish(card, ada)
    with pytest.raises(SignError):
        sign(card, item, by=ada, key="s1")
    assert sign(card, item, by=ben, key="s2").by == ben


@pytest.mark.parametrize("role", ["desk", "accountant"])
def test_who_does_not_wrench_does_not_sign(card, ada, finish, item, role):
    finish(card, ada)
    with pytest.raises(SignError, match="mechanic or a manager"):
        sign(card, item, by=UserFactory.create(**{role: True}), key="s1")


def test_nothing_is_signed_before_the_work_is_done(card, ben, item):
    with pytest.raises(CardStateError, match="tick the first task"):
        sign(card, item, by=ben, key="s1")


def test_a_signature_stands_until_it_is_taken_back(card, ada, ben, finish, item):
    manager = UserFactory.create(manager=True)
    finish(card, ada)
    first = sign(card, item, by=ben, key="s1")
    assert sign(card, item, by=manager, key="s2") == first
    unsign(card, item, by=manager, key="s3")
    assert not ReleaseCheck.objects.exists()
    unsign(card, item, by=manager, key="s3")
    assert sign(card, item, by=manager, key="s4").by == manager


def test_an_item_for_another_kind_of_bike_is_not_signed(card, ada, ben, finish):
    finish(card, ada)
    disc = made.release_item("discs", brakes=["disc"])
    with pytest.raises(SignError, match="not checked on this bike"):
        sign(card, disc, by=ben, key="s1")


# the release


def released(card, by, **more):
    return release_bike(card, by=by, key=made.a_key(), **more)


def test_a_bike_is_released_once_all_is_done_and_signed(card, ada, ben, finish, item):
    start_time(made.task_of(card, "hub"), by=ben, key="t1")
    finish(card, ada)
    with pytest.raises(CannotReleaseError, match="Not signed yet: 1"):
        released(card, ben)
    sign(card, item, by=ben, key="s1")
    done = released(card, ben, next_check_on=dt.date(2026, 7, 1))
    done.refresh_from_db()
    assert (done.state, done.released_by, done.next_check_on.month) == ("released", ben, 7)
    assert Bike.objects.get().stage == Stage.RELEASED
    assert StockLevel.objects.get().reserved == 0
    assert not done.tasks.filter(spans__stopped_at__isnull=True, spans__isnull=False).exists()


def test_a_release_sent_twice_is_one(card, ada, ben, finish):
    finish(card, ada)
    first = release_bike(card, by=ben, key="z1")
    assert release_bike(card, by=ben, key="z1").released_at == first.released_at
    with pytest.raises(CardStateError, match="new job card"):
        release_bike(card, by=ben, key="z2")


def test_undone_tasks_and_waiting_answers_hold_it_back(card, ada, ben, finish):
    report(card, ada, stops=("hub",))
    finish(card, ada)
    assert card.state == "working"
    blocks = standing_of(card).blocks
    assert "Tasks are still to be done: 1." in blocks
    assert any("Waits for the customer’s answer" in each for each in blocks)
    with pytest.raises(CardStateError):
        released(card, ben)


def test_an_unsafe_finding_holds_it_back_until_a_task_puts_it_right(ada, ben, finish):
    inspection = made.inspected_bike()
    bad = made.found(inspection, "fork-bent", default_judgement="unsafe")
    made.operation("hub")
    card = made.a_card(made.asked("hub"), inspection=inspection)
    finish(card, ada)
    with pytest.raises(CannotReleaseError, match="Unsafe and not put right"):
        released(card, ben)
    made.operation("fork")
    take_answer(card, made.asked("hub", "fork", findings={"fork": bad}, revision=2), by=ada)
    finish(card, ada)
    assert released(card, ben).state == "released"


def test_unsafe_and_declined_goes_out_only_once_the_customer_was_told(ada, ben, finish):
    inspection = made.inspected_bike()
    bad = made.found(inspection, "fork-bent", default_judgement="unsafe")
    made.operation("hub")
    no = DeclinedAsked("New fork", Importance.MUST, findings=(bad.pk,))
    card = made.a_card(made.asked("hub", declined=(no,)), inspection=inspection)
    finish(card, ada)
    with pytest.raises(NotToldError, match="Fork bent"):
        released(card, ben)
    assert released(card, ben, told_declined=True).state == "released"


def test_a_torque_out_of_its_figure_holds_it_back_until_it_is_right(card, ada, ben, finish):
    finish(card, ada)
    hub = made.task_of(card, "hub")
    note_readings(hub, by=ada, key="r1", torque=Decimal(12))
    with pytest.raises(CannotReleaseError, match="too loose"):
        released(card, ben)
    note_readings(hub, by=ada, key="r2", torque=Decimal(20))
    assert released(card, ben).state == "released"


def test_a_bad_reading_voids_what_was_signed(card, ada, ben, finish, item):
    finish(card, ada)
    sign(card, item, by=ben, key="s1")
    note_readings(made.task_of(card, "hub"), by=ada, key="r1", torque=Decimal(20))
    assert card.checks.exists()
    note_readings(made.task_of(card, "hub"), by=ada, key="r2", torque=Decimal(12))
    assert not card.checks.exists()


def test_who_did_the_work_does_not_let_it_go(card, ada, ben, finish, item):
    finish(card, ada)
    sign(card, item, by=ben, key="s1")
    with pytest.raises(CannotReleaseError, match="somebody else"):
        released(card, ada)


def test_what_was_never_drawn_is_free_again_after_the_release(card, ada, ben, finish):
    finish(card, ada)
    released(card, ben)
    row = made.row_of(card, "cones")
    assert (row.reserved, StockLevel.objects.get().available) == (0, 5)
