"""Puts a judgement rule in force: the first of its key, or in the place of the one before."""

from __future__ import annotations

from django.db import transaction
from django.utils import timezone

from workshop.inspections.models import JudgementRule


class NotInForceError(Exception):
    """Raised when a rule that was superseded already would be superseded again."""

    def __init__(self, rule: JudgementRule) -> None:
        super().__init__(
            f"{rule} is no longer in force: somebody changed it meanwhile. "
            "Open the rule from the list again and make your change there."
        )


@transaction.atomic
def supersede_rule(rule: JudgementRule, **fields: object) -> JudgementRule:
    """Return the new version of a rule; the old one stays for what was judged by it.

    ``fields`` are those of the new version; key and version can't be given. Where nothing
    differs the rule itself is returned.

    Raises:
        NotInForceError: the rule was superseded meanwhile.
        ValidationError: the new version is not one that can be.
    """
    if all(getattr(rule, name) == value for name, value in fields.items()):
        return rule
    retire_rule(rule)
    kept = {
        field.name: getattr(rule, field.name)
        for field in JudgementRule._meta.fields
        if field.name not in {"id", "version", "superseded_at"}
    }
    return put_in_force(JudgementRule(**{**kept, **fields}, version=rule.version + 1))


@transaction.atomic
def put_in_force(rule: JudgementRule) -> JudgementRule:
    """Save a rule that is not kept yet.

    Raises:
        ValidationError: it is not one that can be.
    """
    rule.full_clean()
    rule.save()
    return rule


@transaction.atomic
def retire_rule(rule: JudgementRule) -> None:
    """Let a rule hold no longer; what was judged by it stays.

    Raises:
        NotInForceError: it does not hold any more.
    """
    in_force = JudgementRule.objects.select_for_update().filter(
        pk=rule.pk, superseded_at__isnull=True
    )
    found = in_force.first()
    if found is None:
        raise NotInForceError(rule)
    found.superseded_at = timezone.now()
    found.save(update_fields=["superseded_at"])
