"""Keeps a decision as it was weighed: the margin check of its likely case, and its figures."""

from __future__ import annotations

from django.db import transaction

from quotes.buyin.verbs.save import save_check
from quotes.core.margin import Verdict
from quotes.deciding.basis import Ground
from quotes.deciding.figures import Figures
from quotes.deciding.keeping import kept
from quotes.deciding.models import DecisionSheet
from quotes.deciding.weighing import likely_input
from workshop.people.models import User


@transaction.atomic
def keep_decision(figures: Figures, ground: Ground, by: User) -> DecisionSheet:
    """Keep the figures of a decision; nothing of them changes later."""
    verdict = Verdict(figures.word, figures.reasons)
    check = save_check(likely_input(figures), ground.basis, by, verdict=verdict)
    return DecisionSheet.objects.create(check_made=check, figures=kept(figures))
