"""Leave rules in the catalogue: how its files name them."""

from __future__ import annotations

from quotes.buyin.models import LeaveRule
from workshop.catalogue.loading.kinds import Kind, Links

LEAVE_RULE = Kind(
    LeaveRule,
    ("code", "words", "from_judgement", "at_least"),
    links={"faults": Links(LeaveRule.faults.through, "leaverule", {"fault": "fault"}, "fault")},
)
