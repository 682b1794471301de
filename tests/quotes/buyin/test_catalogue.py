"""Rules to leave a bike on the catalogue's screens."""

from __future__ import annotations

import pytest
from django.urls import reverse

from quotes.buyin.models import LeaveRule
from tests.factories.inspections import FaultFactory

pytestmark = pytest.mark.django_db
RULE = {
    "words": "Rust wherever one looks",
    "from_judgement": "watch",
    "at_least": "4",
    "active": "on",
}


def test_a_manager_adds_and_changes_a_rule(boss, shop):
    fault = FaultFactory.create()
    new = reverse("catalogue:new", args=["leave-rules"])
    assert "None chosen: every finding counts." in boss.get(new).content.decode()
    assert boss.post(new, RULE | {"faults": [fault.pk]}).status_code == 302
    rule = LeaveRule.objects.get()
    assert (rule.code, rule.at_least) == ("rust-wherever-one-looks", 4)
    assert list(rule.faults.all()) == [fault]
    edit = reverse("catalogue:edit", args=["leave-rules", rule.pk])
    assert boss.post(edit, RULE | {"at_least": "5"}).status_code == 302
    rule.refresh_from_db()
    assert (rule.at_least, rule.faults.count()) == (5, 0)
    assert rule.history.count() >= 2


@pytest.mark.parametrize("wrong", [{"at_least": "0"}, {"words": ""}, {"from_judgement": "sound"}])
def test_a_rule_that_would_always_hold_or_says_nothing_is_refused(boss, shop, wrong):
    answer = boss.post(reverse("catalogue:new", args=["leave-rules"]), RULE | wrong)
    assert answer.status_code == 422
    assert not LeaveRule.objects.exists()


def test_the_list_names_them(boss, shop):
    LeaveRule.objects.create(code="rust", words="Rust", from_judgement="watch", at_least=4)
    page = boss.get(reverse("catalogue:list", args=["leave-rules"])).content.decode()
    assert "Rust" in page
