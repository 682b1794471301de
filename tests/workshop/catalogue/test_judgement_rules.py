"""Judgement rules on screen: a change makes a version, what was judged keeps its own."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from tests.factories.inspections import (
    FaultFactory,
    FindingFactory,
    JudgementRuleFactory,
    MeasureFactory,
)
from tests.factories.people import sign_in
from workshop.catalogue.verbs.supersede_rule import (
    NotInForceError,
    retire_rule,
    supersede_rule,
)
from workshop.inspections.models import JudgementRule

pytestmark = pytest.mark.django_db

LIST = reverse("catalogue:list", args=("judgement-rules",))
NEW = reverse("catalogue:new", args=("judgement-rules",))


@pytest.fixture
def manager(client):
    client.person = sign_in(client, manager=True)
    return client


@pytest.fixture
def rule():
    measure = MeasureFactory.create(name="Play", unit="mm")
    fault = FaultFactory.create(checkpoint=measure.checkpoint, name="Loose")
    return JudgementRuleFactory.create(
        measure=measure, fault=fault, at_least=Decimal("0.2"), judgement="needs_work", key="loose"
    )


def typed(rule, **more):
    return {
        "checkpoint": rule.checkpoint_id,
        "measure": rule.measure_id or "",
        "fault": rule.fault_id or "",
        "at_least": "0.2",
        "judgement": "needs_work",
        "source": "common practice, no source",
    } | more


def page_of(rule):
    return reverse("catalogue:edit", args=("judgement-rules", rule.pk))


def errors(response):
    assert response.status_code == 422
    return {name: " ".join(said) for name, said in response.context["form"].errors.items()}


def test_a_change_makes_a_new_version_and_leaves_the_old_one(manager, rule):
    finding = FindingFactory.create(fault=rule.fault, rule=rule)
    manager.post(page_of(rule), typed(rule, at_least="0,35", age_from="5"))
    old, new = JudgementRule.objects.order_by("version")
    assert (old.pk, old.at_least, old.version) == (rule.pk, Decimal("0.2"), 1)
    assert old.superseded_at is not None
    assert (new.at_least, new.age_from, new.version, new.key) == (Decimal("0.35"), 5, 2, "loose")
    assert new.superseded_at is None
    finding.refresh_from_db()
    assert finding.rule == old


def test_the_list_holds_what_is_in_force(manager, rule):
    manager.post(page_of(rule), typed(rule, judgement="unsafe"))
    rows = [row.record for row in manager.get(LIST).context["table"].rows]
    assert [(row.key, row.version, row.judgement) for row in rows] == [("loose", 2, "unsafe")]


def test_a_rule_saved_as_it_stands_makes_no_version(manager, rule):
    manager.post(page_of(rule), typed(rule))
    assert JudgementRule.objects.count() == 1


def test_an_old_version_is_not_changed_but_answered_with_what_to_do(manager, rule):
    manager.post(page_of(rule), typed(rule, judgement="unsafe"))
    assert "open the one in force" in manager.get(page_of(rule)).content.decode()
    assert manager.post(page_of(rule), typed(rule)).status_code == 409
    assert JudgementRule.objects.count() == 2


def test_the_history_shows_the_versions_with_who_and_what(manager, rule):
    manager.post(page_of(rule), typed(rule, at_least="0.35"))
    latest = JudgementRule.objects.get(version=2)
    url = reverse("catalogue:history", args=("judgement-rules", latest.pk))
    page = manager.get(url).content.decode()
    assert "Version 2</strong> by " + str(manager.person) in page
    assert "from: 0.2 → 0.35" in page
    assert "Version 1" in page
    retire_rule(latest)
    assert "Version 2 ended" in manager.get(url).content.decode()


def test_a_rule_can_be_let_go_of_without_another(manager, rule):
    response = manager.post(page_of(rule), {"retire": "1"}, follow=True)
    assert "holds no longer" in response.content.decode()
    rule.refresh_from_db()
    assert rule.superseded_at is not None


def test_a_new_rule_gets_a_key_of_its_own(manager, rule):
    for _ in range(2):
        assert manager.post(NEW, typed(rule, judgement="unsafe", at_least="1")).status_code == 302
    keys = JudgementRule.objects.exclude(pk=rule.pk).values_list("key", "version")
    stem = f"{rule.fault.code}-unsafe"
    assert sorted(keys) == [(stem, 1), (f"{stem}-2", 1)]


@pytest.mark.parametrize(
    ("more", "field", "words"),
    [
        ({"measure": "", "fault": ""}, "measure", "Choose a reading, a fault, or both"),
        ({"measure": ""}, "measure", "A range needs a reading"),
        ({"at_least": ""}, "at_least", "Say from which value"),
        ({"fault": ""}, "fault", "Say what is found"),
        ({"below": "0.1"}, "below", "must be more than 0.2"),
        ({"age_from": "10", "age_below": "5"}, "age_below", "must be more than 10"),
        ({"judgement": "sound", "deal_breaker": "on"}, "deal_breaker", "Untick one"),
        ({"judgement": "perfect"}, "judgement", "not one of the available choices"),
        ({"source": ""}, "source", "required"),
        ({"at_least": "a bit"}, "at_least", "“a bit” is not a number"),
        ({"uses": ["never"]}, "uses", "not one of the available choices"),
    ],
)
def test_a_rule_that_cannot_hold_is_refused(manager, rule, more, field, words):
    said = errors(manager.post(NEW, typed(rule, **more)))
    assert words in said[field]
    assert JudgementRule.objects.count() == 1


def test_reading_and_fault_belong_to_the_checkpoint_and_units_agree(manager, rule):
    other = MeasureFactory.create()
    foreign = FaultFactory.create()
    bar = MeasureFactory.create(checkpoint=rule.checkpoint, unit="bar")
    said = errors(manager.post(NEW, typed(rule, measure=other.pk, fault=foreign.pk)))
    assert "is not at" in said["measure"]
    assert "is not at" in said["fault"]
    said = errors(manager.post(NEW, typed(rule, minus=bar.pk)))
    assert "differ in unit" in said["minus"]


def test_what_somebody_changed_meanwhile_is_not_overwritten(rule):
    supersede_rule(rule, judgement="unsafe")
    with pytest.raises(NotInForceError, match="somebody changed it meanwhile"):
        supersede_rule(rule, judgement="watch")
    with pytest.raises(NotInForceError):
        retire_rule(rule)
    assert JudgementRule.objects.filter(superseded_at=None).get().judgement == "unsafe"


def test_a_version_that_cannot_be_leaves_the_old_one_in_force(rule):
    with pytest.raises(ValidationError):
        supersede_rule(rule, below=Decimal("0.1"))
    assert JudgementRule.objects.get().superseded_at is None
