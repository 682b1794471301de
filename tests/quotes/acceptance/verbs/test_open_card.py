"""From the customer's yes to the bench: tasks of what is accepted, and of later answers."""

from decimal import Decimal

import pytest

from inventory.stock.models import StockLevel
from quotes.acceptance.verbs.open_card import NotAcceptedError, OpenedBeforeError, open_card_for
from quotes.acceptance.verbs.record import record_answer
from quotes.acceptance.work import work_of
from quotes.quoting.models import State
from quotes.quoting.verbs.add_line import add_line
from quotes.quoting.verbs.revise import revise
from quotes.quoting.verbs.send import send
from tests.factories.labour import RemedyOperationFactory
from tests.factories.people import UserFactory
from tests.factories.stock import come_in
from workshop.bikes.models import Stage
from workshop.jobcards.models import JobCard
from workshop.jobcards.verbs.open_card import CardOpenError

pytestmark = pytest.mark.django_db


def answer(revision, by, *keys):
    yes = set(revision.lines.filter(key__in=keys).values_list("pk", flat=True))
    return record_answer(
        revision, decided_by="Ms Vane", by=by, accepted_lines=yes, must_refused_ok=True
    )


ALL = ("labour:hub-cure-work", "part:hub-cure-work:cones", "labour:rim-cure-work")


def tasks(card):
    return [(task.kind, task.code) for task in card.tasks.all()]


def test_accepted_lines_become_tasks_round_their_shared_wheel(sent, manager):
    answer(sent, manager, *ALL)
    card = open_card_for(sent, by=manager, promised_on=None)
    assert tasks(card) == [
        ("open", "wheel-out"),
        ("work", "hub-cure-work"),
        ("work", "rim-cure-work"),
        ("close", "wheel-out"),
    ]
    hub = card.tasks.get(code="hub-cure-work")
    assert hub.minutes == 15
    assert [each.fault.code for each in hub.findings.all()] == ["hub"]
    assert hub.parts.get().part.code == "cones"
    assert card.reference == f"{sent.quote.number} revision 1"
    sent.quote.bike.refresh_from_db()
    assert sent.quote.bike.stage == Stage.IN_WORK


def test_only_what_was_accepted_is_done_and_the_rest_is_a_caution(sent, manager):
    answer(sent, manager, "labour:rim-cure-work")
    card = open_card_for(sent, by=manager)
    assert [code for kind, code in tasks(card) if kind == "work"] == ["rim-cure-work"]
    declined = {row.title: row for row in card.declined.all()}
    hub = declined["Hub cure work"]
    assert hub.is_must
    assert hub.judgement == "unsafe"
    assert hub.words == "Hub: it should be put right."
    assert [row.importance for row in declined.values()] == ["must", "could"]


def test_a_part_without_its_work_is_handed_over_and_work_without_its_part_says_so(sent, manager):
    answer(sent, manager, "part:hub-cure-work:cones", "labour:bell-cure-work")
    card = open_card_for(sent, by=manager)
    assert card.tasks.get(code="hand-over").parts.get().part.code == "cones"
    assert "Bell" in {row.title for row in card.declined.all()}


def test_the_order_within_a_remedy_is_kept_where_the_quote_keeps_it(sent, manager):
    remedy = sent.findings.get(checkpoint_code="rim-point").remedy
    other = sent.findings.get(checkpoint_code="hub-point").remedy.steps.get().operation
    RemedyOperationFactory.create(remedy=remedy, operation=other, order=0)
    work = work_of(answer(sent, manager, *ALL))
    assert dict(work.after) == {"rim-cure-work": ("hub-cure-work",)}


def test_a_refused_quote_opens_nothing(sent, manager):
    with pytest.raises(NotAcceptedError):
        open_card_for(sent, by=manager)
    answer(sent, manager)
    with pytest.raises(NotAcceptedError, match="no work to begin"):
        open_card_for(sent, by=manager)
    assert not JobCard.objects.exists()


def test_the_work_of_a_revision_has_one_card_ever(sent, manager):
    answer(sent, manager, *ALL)
    card = open_card_for(sent, by=manager)
    with pytest.raises(OpenedBeforeError, match=card.number):
        open_card_for(sent, by=manager)


def test_a_bike_with_an_open_card_gets_no_second_one(sent, manager):
    answer(sent, manager, *ALL)
    open_card_for(sent, by=manager)
    JobCard.objects.update(revision_key=0)
    with pytest.raises(CardOpenError):
        open_card_for(sent, by=manager)


def test_an_older_yes_does_not_open_a_card_once_a_newer_answer_stands(sent, manager):
    answer(sent, manager, *ALL)
    newer = revise(sent.quote, manager)
    send(newer, manager)
    answer(newer, manager, *ALL)
    with pytest.raises(NotAcceptedError, match="newer"):
        open_card_for(sent, by=manager)
    assert open_card_for(newer, by=manager).revision_number == 2


def test_a_later_answer_reaches_the_open_card_by_itself(sent, manager):
    answer(sent, manager, "labour:rim-cure-work")
    card = open_card_for(sent, by=manager)
    come_in(sent.lines.get(key="part:hub-cure-work:cones").part, 3)
    newer = revise(sent.quote, manager)
    send(newer, manager)
    sent.quote.bike.refresh_from_db()
    assert sent.quote.bike.stage == Stage.IN_WORK
    answer(newer, UserFactory.create(desk=True), *ALL)
    card.refresh_from_db()
    assert card.revision_number == 2
    assert ("work", "hub-cure-work") in tasks(card)
    assert StockLevel.objects.get().reserved == 1
    sent.quote.bike.refresh_from_db()
    assert sent.quote.bike.stage == Stage.IN_WORK
    newer.refresh_from_db()
    assert newer.state == State.PART_ACCEPTED


def test_a_discount_is_no_task(sent, manager):
    draft = revise(sent.quote, manager)
    discount = {
        "description": "Loyal customer",
        "quantity": Decimal(1),
        "unit": "pc",
        "unit_price_net": Decimal(-5),
        "vat_code": "standard",
        "importance": "must",
        "reason": "ten years",
    }
    add_line(draft, values=discount, by=manager)
    send(draft, manager)
    keys = draft.lines.filter(kind__in=["labour", "part", "hand"]).values_list("key", flat=True)
    card = open_card_for(answer(draft, manager, *keys).revision, by=manager)
    assert not card.tasks.filter(code__startswith="hand:").exists()
