"""Quotes, their numbered revisions, the findings they price, and their lines."""

from __future__ import annotations

from typing import Any, Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from inventory.fields import MoneyField
from inventory.parts.models import Part, VatCode
from workshop.bikes.models import Bike
from workshop.core.naming import place_and_fault
from workshop.customers.models import Customer
from workshop.inspections.models import Finding, Inspection
from workshop.inspections.models.asked import IMPORTANCES, JUDGEMENTS
from workshop.labour.models import Remedy


class State(models.TextChoices):
    """Where a revision stands."""

    DRAFT = "draft", "draft"
    SENT = "sent", "sent"
    ACCEPTED = "accepted", "accepted"
    PART_ACCEPTED = "part_accepted", "accepted in part"
    REFUSED = "refused", "refused"
    SUPERSEDED = "superseded", "superseded"


FROZEN = (State.SENT, State.ACCEPTED, State.PART_ACCEPTED, State.REFUSED, State.SUPERSEDED)


class FrozenError(Exception):
    """Raised when something that has been issued would be changed."""


class DraftOnlyQuerySet(models.QuerySet[Any]):
    """Rows of a revision, which may be deleted only while it is a draft."""

    def delete(self) -> tuple[int, dict[str, int]]:
        """Delete the rows.

        Raises:
            FrozenError: one of them belongs to a revision that has been issued.
        """
        row = self.exclude(revision__state=State.DRAFT).select_related("revision__quote").first()
        if row is not None:
            row.revision.refuse_if_issued()
        return super().delete()


class DraftOnly(models.Model):
    """A row of a revision, which may be changed only while the revision is a draft.

    The database refuses the same by triggers, see ``quotes.quoting.freezing``.
    """

    objects = DraftOnlyQuerySet.as_manager()

    revision: models.ForeignKey[Revision]

    class Meta:
        abstract = True

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Save the row; raises FrozenError where its revision has been issued."""
        self.revision.refuse_if_issued()
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Delete the row; raises FrozenError where its revision has been issued."""
        self.revision.refuse_if_issued()
        return super().delete(*args, **kwargs)


class Quote(models.Model):
    """An offer of work on a bike at a price; what is offered stands in its revisions."""

    number = models.CharField("number", max_length=12, unique=True, editable=False)
    bike = models.ForeignKey(Bike, on_delete=models.PROTECT, related_name="quotes")
    inspection = models.ForeignKey(Inspection, on_delete=models.PROTECT, related_name="quotes")
    customer = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="quotes")
    created_at = models.DateTimeField(auto_now_add=True)
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        """Newest first."""

        ordering = ("-pk",)

    def __str__(self) -> str:
        """Return the number."""
        return self.number


class Revision(models.Model):
    """A numbered state of a quote. Once sent it is frozen and only superseded.

    Totals are the sums of the printed lines: ``net``, ``vat`` and ``gross`` of the lines that
    are not left out. ``no_price`` marks a bike with a deal-breaker: nothing is offered.
    """

    quote = models.ForeignKey(Quote, on_delete=models.PROTECT, related_name="revisions")
    number = models.PositiveSmallIntegerField("revision")
    state = models.CharField("state", max_length=14, choices=State.choices, default=State.DRAFT)
    priced_on = models.DateField("prices of")
    valid_until = models.DateField("stands until", null=True, blank=True)
    message = models.TextField("message to the customer", max_length=1000, blank=True)
    no_price = models.BooleanField("no price is offered", default=False)
    not_tested = models.JSONField("not tested", default=list, blank=True)
    net = MoneyField("net", default=0, signed=True)
    vat = MoneyField("VAT", default=0, signed=True)
    gross = MoneyField("gross", default=0, signed=True)
    created_at = models.DateTimeField(auto_now_add=True)
    created_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    sent_at = models.DateTimeField(null=True, blank=True)
    sent_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+", null=True, blank=True
    )
    history = HistoricalRecords()

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("quote_id", "-number")
        constraints = (
            models.UniqueConstraint(fields=("quote", "number"), name="one_revision_a_number"),
            models.UniqueConstraint(
                fields=("quote",), condition=Q(state="draft"), name="one_draft_a_quote"
            ),
            models.UniqueConstraint(
                fields=("quote",), condition=Q(state="sent"), name="one_sent_revision_a_quote"
            ),
            models.CheckConstraint(
                condition=Q(state="draft") | (Q(sent_at__isnull=False) & Q(sent_by__isnull=False)),
                name="sent_revision_has_name_and_time",
            ),
        )

    def __str__(self) -> str:
        """Return the quote's number with the revision's."""
        return f"{self.quote.number} revision {self.number}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Save; of an issued revision only the state may be saved, by ``update_fields``.

        Raises:
            FrozenError: anything else would be saved.
        """
        stored = getattr(self, "_stored_state", "")
        if stored in FROZEN and set(kwargs.get("update_fields") or ()) != {"state"}:
            raise FrozenError(self._issued(State(stored)))
        super().save(*args, **kwargs)
        self._stored_state = self.state

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Delete a draft; raises FrozenError where it has been issued."""
        self.refuse_if_issued()
        return super().delete(*args, **kwargs)

    @classmethod
    def from_db(cls, *args: Any, **kwargs: Any) -> Self:
        """Remember the state as it is stored."""
        instance = super().from_db(*args, **kwargs)
        instance._stored_state = instance.__dict__.get("state", "")  # noqa: SLF001 - our own
        return instance

    def refuse_if_issued(self) -> None:
        """Raise FrozenError unless this is a draft."""
        if not self.is_draft:
            raise FrozenError(self._issued(State(self.state)))

    def _issued(self, state: State) -> str:
        """Return why nothing may be changed, and what to do instead."""
        return f"{self} is {state.label} and stays as it is. Make a new revision to change it."

    @property
    def is_draft(self) -> bool:
        """Tell whether it may still be changed."""
        return self.state == State.DRAFT


class QuotedFinding(DraftOnly):
    """A finding as a revision shows it: a copy of its words, the remedy chosen, its importance.

    ``covered_by`` names the operation that makes its remedy needless. ``remedy_chosen`` says that
    a person chose the remedy; ``no_work_reason`` why no work is offered for it. A finding with
    neither of the three nor a line of its own is to be priced by hand.
    """

    revision = models.ForeignKey(Revision, on_delete=models.CASCADE, related_name="findings")
    finding = models.ForeignKey(Finding, on_delete=models.PROTECT, related_name="+")
    position = models.PositiveSmallIntegerField("position")
    checkpoint_code = models.CharField(max_length=60)
    checkpoint_name = models.CharField("checkpoint", max_length=80)
    title = models.CharField("what is wrong", max_length=80)
    words = models.CharField("in plain words", max_length=300)
    readings = models.CharField("readings", max_length=200, blank=True)
    note = models.TextField("note", max_length=1000, blank=True)
    judgement = models.CharField("judgement", max_length=12, choices=JUDGEMENTS)
    deal_breaker = models.BooleanField("deal-breaker", default=False)
    remedy = models.ForeignKey(
        Remedy, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    remedy_name = models.CharField("remedy", max_length=120, blank=True)
    remedy_chosen = models.BooleanField("remedy chosen by hand", default=False)
    no_work_reason = models.CharField("why no work is offered", max_length=300, blank=True)
    covered_by = models.CharField("made needless by", max_length=120, blank=True)
    importance = models.CharField("importance", max_length=8, choices=IMPORTANCES)
    importance_reason = models.CharField("why that importance", max_length=300, blank=True)
    history = HistoricalRecords()

    class Meta:
        """In the order of the walk."""

        ordering = ("revision_id", "position", "pk")
        constraints = (
            models.UniqueConstraint(fields=("revision", "finding"), name="finding_once_a_revision"),
        )

    def __str__(self) -> str:
        """Return the checkpoint with what is wrong."""
        return place_and_fault(self.checkpoint_name, self.title)


class LineKind(models.TextChoices):
    """What a line charges for."""

    LABOUR = "labour", "labour"
    ACCESS = "access", "getting at it"
    PART = "part", "part"
    SUNDRY = "sundry", "sundries"
    HAND = "hand", "added by hand"


class Line(DraftOnly):
    """A priced row of a revision, traced to findings or entered by hand with a reason.

    ``key`` is stable from pricing to pricing (``labour:front-hub-adjust``), so that a change by
    hand survives. ``net``, ``vat`` and ``gross`` are quantised once, here. ``cost_net`` is what
    the line costs the shop. A line left out stays to be seen but counts nothing. ``needed_by``
    are the keys of the labour that needs an access step: where all of it is declined, so is the
    step.
    """

    revision = models.ForeignKey(Revision, on_delete=models.CASCADE, related_name="lines")
    position = models.PositiveSmallIntegerField("position")
    kind = models.CharField("kind", max_length=8, choices=LineKind.choices)
    key = models.CharField(max_length=140)
    description = models.CharField("description", max_length=200)
    findings = models.ManyToManyField(QuotedFinding, blank=True, related_name="lines")
    part = models.ForeignKey(
        Part, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    quantity = models.DecimalField("quantity", max_digits=9, decimal_places=2)
    unit = models.CharField("unit", max_length=12)
    unit_price_net = MoneyField("price each, net", signed=True)
    net = MoneyField("net", signed=True)
    vat_code = models.CharField("VAT kind", max_length=10, choices=VatCode.choices)
    vat_rate = models.DecimalField("VAT rate", max_digits=6, decimal_places=4)
    vat = MoneyField("VAT", signed=True)
    gross = MoneyField("gross", signed=True)
    cost_net = MoneyField("cost to the shop, net", default=0)
    importance = models.CharField("importance", max_length=8, choices=IMPORTANCES)
    left_out = models.BooleanField("left out", default=False)
    reason = models.CharField("reason", max_length=300, blank=True)
    needed_by = models.JSONField("labour that needs it", default=list, blank=True)
    history = HistoricalRecords()

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("revision_id", "position", "pk")
        constraints = (
            models.UniqueConstraint(fields=("revision", "key"), name="line_key_once_a_revision"),
            models.CheckConstraint(
                condition=Q(kind="hand") | (Q(net__gte=0) & Q(vat__gte=0)),
                name="only_hand_lines_below_zero",
            ),
            models.CheckConstraint(
                condition=~Q(kind="hand") | ~Q(reason=""), name="hand_line_has_a_reason"
            ),
            models.CheckConstraint(
                condition=Q(left_out=False) | ~Q(reason=""), name="left_out_line_has_a_reason"
            ),
        )

    def __str__(self) -> str:
        """Return the description."""
        return self.description


class LineChange(DraftOnly):
    """What a person changed on a computed line, and why; kept from pricing to pricing."""

    revision = models.ForeignKey(Revision, on_delete=models.CASCADE, related_name="changes")
    key = models.CharField(max_length=140)
    leave_out = models.BooleanField("leave out", default=False)
    quantity = models.DecimalField(
        "quantity", max_digits=9, decimal_places=2, null=True, blank=True
    )
    unit_price_net = MoneyField("price each, net", null=True, blank=True)
    reason = models.CharField("reason", max_length=300)
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+")
    at = models.DateTimeField(auto_now=True)
    history = HistoricalRecords()

    class Meta:
        """Order and the limits that the database holds."""

        ordering = ("revision_id", "key")
        constraints = (
            models.UniqueConstraint(fields=("revision", "key"), name="one_change_a_line"),
            models.CheckConstraint(condition=~Q(reason=""), name="line_change_has_a_reason"),
        )

    def __str__(self) -> str:
        """Return the key of the line."""
        return self.key


class SentDocument(models.Model):
    """The bytes of the PDF as it was sent; kept apart so that lists never load them."""

    revision = models.OneToOneField(Revision, on_delete=models.PROTECT, related_name="document")
    pdf = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    made_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        """Return the revision it belongs to."""
        return f"PDF of {self.revision}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Save once; raises FrozenError where it is saved already."""
        if not self._state.adding:
            raise FrozenError(f"{self} is kept as it was sent.")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Refuse: a PDF that was sent is kept. Raises FrozenError."""
        raise FrozenError(f"{self} is kept as it was sent.")
