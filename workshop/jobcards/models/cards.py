"""The job card itself, what the customer declined, and the record of what was done with it."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.db import models
from django.db.models import Q

from inventory.fields import MoneyField
from workshop.bikes.models import Bike
from workshop.core.cardstates import Action, CardState
from workshop.inspections.models import Inspection
from workshop.inspections.models.asked import IMPORTANCES, JUDGEMENTS

PERSON: dict[str, Any] = {"on_delete": models.PROTECT, "related_name": "+"}
STATES = [(each.value, each.label) for each in CardState]
ACTIONS = [(each.value, each.label) for each in Action]


class JobCard(models.Model):
    """The work order at the bench: an accepted revision of a quote, or the release check alone.

    The quote is known by its number and the revision's number and id only: it belongs to a
    higher room. A card for the release check alone has no quote until an answer brings it work.
    ``go_ahead_gross`` is what extras may cost in all, with VAT, without asking the customer;
    ``gone_ahead_gross`` is how much of it has been used.
    """

    number = models.CharField("number", max_length=12, unique=True, editable=False)
    bike = models.ForeignKey(Bike, on_delete=models.PROTECT, related_name="job_cards")
    inspection = models.ForeignKey(Inspection, on_delete=models.PROTECT, related_name="job_cards")
    quote_number = models.CharField("quote", max_length=12, blank=True)
    revision_number = models.PositiveSmallIntegerField("revision", null=True, blank=True)
    revision_key = models.BigIntegerField("id of the revision", null=True, blank=True)
    state = models.CharField(
        "state", max_length=10, choices=STATES, default=CardState.READY.value, editable=False
    )
    promised_on = models.DateField("promised for", null=True, blank=True)
    go_ahead_gross = MoneyField("extras without asking, up to", null=True, blank=True)
    gone_ahead_gross = MoneyField("extras gone ahead with", default=0)
    next_check_on = models.DateField("next check", null=True, blank=True)
    opened_by = models.ForeignKey(settings.AUTH_USER_MODEL, **PERSON)
    opened_at = models.DateTimeField(auto_now_add=True)
    released_by = models.ForeignKey(settings.AUTH_USER_MODEL, null=True, blank=True, **PERSON)
    released_at = models.DateTimeField(null=True, blank=True)
    version = models.PositiveIntegerField(default=0, editable=False)

    class Meta:
        """By what was promised first, and the limits that the database holds."""

        ordering = ("promised_on", "pk")
        constraints = (
            models.UniqueConstraint(
                fields=("bike",), condition=~Q(state="released"), name="one_open_job_card_a_bike"
            ),
            models.CheckConstraint(
                condition=Q(state="released", released_by__isnull=False, released_at__isnull=False)
                | (~Q(state="released") & Q(released_by__isnull=True, released_at__isnull=True)),
                name="job_card_released_by_somebody",
            ),
            models.CheckConstraint(
                condition=Q(go_ahead_gross__isnull=True, gone_ahead_gross=0)
                | Q(gone_ahead_gross__gte=0, gone_ahead_gross__lte=models.F("go_ahead_gross")),
                name="job_card_extras_within_the_limit",
            ),
            models.CheckConstraint(
                condition=Q(quote_number="", revision_number=None, revision_key=None)
                | (
                    ~Q(quote_number="")
                    & Q(revision_number__isnull=False, revision_key__isnull=False)
                ),
                name="job_card_quote_whole_or_none",
            ),
        )

    def __str__(self) -> str:
        """Return the number."""
        return self.number

    @property
    def stands(self) -> CardState:
        """Return the state as the core knows it."""
        return CardState(self.state)

    @property
    def is_open(self) -> bool:
        """Tell whether the bike is still here for it."""
        return self.stands is not CardState.RELEASED

    @property
    def is_check_alone(self) -> bool:
        """Tell whether it is for the release check alone: no quote has brought it work."""
        return not self.quote_number

    @property
    def reference(self) -> str:
        """Return the revision that it was opened from, or taken on to since; "" without one."""
        if self.is_check_alone:
            return ""
        return f"{self.quote_number} revision {self.revision_number}"


class Declined(models.Model):
    """Work that was offered and that the customer does not want, in the quote's words."""

    card = models.ForeignKey(JobCard, on_delete=models.CASCADE, related_name="declined")
    title = models.CharField("what was offered", max_length=200)
    place = models.CharField("where", max_length=200, blank=True)
    words = models.CharField("why it matters", max_length=600, blank=True)
    importance = models.CharField("importance", max_length=8, choices=IMPORTANCES)
    judgement = models.CharField("judgement", max_length=12, choices=JUDGEMENTS, blank=True)
    findings = models.ManyToManyField("inspections.Finding", blank=True, related_name="+")

    class Meta:
        """In the order in which they were offered."""

        ordering = ("pk",)

    def __str__(self) -> str:
        """Return what was offered."""
        return self.title

    @property
    def is_must(self) -> bool:
        """Tell whether it must be done."""
        return self.importance == "must"


class CardEvent(models.Model):
    """Something done with a card: by whom, when, and under which key.

    The key is the sender's: what arrives twice under one key was done once.
    """

    card = models.ForeignKey(JobCard, on_delete=models.CASCADE, related_name="events")
    key = models.CharField(max_length=64)
    action = models.CharField("what", max_length=12, choices=ACTIONS)
    subject = models.PositiveBigIntegerField(default=0)
    words = models.CharField("in words", max_length=240)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, **PERSON)
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        """Newest first; a key once a card."""

        ordering = ("-pk",)
        constraints = (
            models.UniqueConstraint(fields=("card", "key"), name="one_event_a_key"),
            models.CheckConstraint(condition=~Q(key=""), name="event_has_a_key"),
        )

    def __str__(self) -> str:
        """Return what was done."""
        return self.words
