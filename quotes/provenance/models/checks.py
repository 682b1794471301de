"""A provenance check, and apart from it who the seller showed to be."""

from __future__ import annotations

from typing import Any, Self

from django.conf import settings
from django.db import models
from django.db.models import Q
from simple_history.models import HistoricalRecords

from workshop.bikes.models import Bike
from workshop.customers.models import Customer


class State(models.TextChoices):
    """Where a check stands; once concluded it stays as it is."""

    OPEN = "open", "open"
    PASSED = "passed", "passed"
    REFUSED = "refused", "refused"


class Document(models.TextChoices):
    """What the seller showed."""

    PASSPORT = "passport", "passport"
    LICENCE = "licence", "driving licence"
    NATIONAL_ID = "national_id", "national identity card"
    OTHER = "other", "something else"


class Proof(models.TextChoices):
    """What shows that the seller bought the bike."""

    RECEIPT = "receipt", "the receipt"
    OTHER = "other", "something else: photos, the manual, an insurance …"
    NONE = "none", "nothing"


class RegisterResult(models.TextChoices):
    """What a register of stolen bikes says."""

    NOT_LISTED = "not_listed", "not listed"
    LISTED = "listed", "listed as stolen"
    NOT_CHECKED = "not_checked", "could not be checked"


class ConcludedError(Exception):
    """Raised where a concluded check would be changed."""

    def __init__(self) -> None:
        super().__init__("This check is concluded and stays as it is. Begin a new one.")


def person(verbose_name: str) -> Any:  # noqa: ANN401 - a field; its type depends on the model
    """Return a field for who did something; empty until it is done."""
    return models.ForeignKey(
        settings.AUTH_USER_MODEL,
        on_delete=models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        verbose_name=verbose_name,
    )


class ProvenanceCheck(models.Model):
    """What was seen of where a bike comes from. Who the seller is stands in ``SellerIdentity``.

    The frame number is read twice, the second time without sight of the first.
    """

    bike = models.ForeignKey(Bike, on_delete=models.PROTECT, related_name="provenance_checks")
    seller = models.ForeignKey(Customer, on_delete=models.PROTECT, related_name="provenance_checks")
    state = models.CharField("state", max_length=8, choices=State.choices, default=State.OPEN)
    document = models.CharField(
        "document seen", max_length=12, choices=Document.choices, blank=True
    )
    document_other = models.CharField("which document", max_length=80, blank=True)
    matches = models.BooleanField("name and address as in our record", default=False)
    adult = models.BooleanField("over 18", default=False)
    frame_first = models.CharField("frame number, first reading", max_length=40, blank=True)
    frame_first_by = person("first read by")
    frame_second = models.CharField("frame number, second reading", max_length=40, blank=True)
    frame_second_by = person("second read by")
    proof = models.CharField("proof of purchase", max_length=8, choices=Proof.choices, blank=True)
    proof_note = models.CharField("what was seen", max_length=200, blank=True)
    register_result = models.CharField(
        "register", max_length=12, choices=RegisterResult.choices, blank=True
    )
    register_on = models.DateField("looked up on", null=True, blank=True)
    register_by = person("looked up by")
    register_note = models.CharField("note on the register", max_length=200, blank=True)
    signed = models.BooleanField("declaration signed", default=False)
    signed_seen_by = person("signing seen by")
    refusal = models.CharField("why it is refused", max_length=300, blank=True)
    started_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, related_name="+"
    )
    started_at = models.DateTimeField(auto_now_add=True)
    concluded_by = person("concluded by")
    concluded_at = models.DateTimeField("concluded at", null=True, blank=True)
    history = HistoricalRecords()

    class Meta:
        """Newest first, and the limits that the database holds."""

        ordering = ("-pk",)
        verbose_name = "provenance check"
        constraints = (
            models.UniqueConstraint(
                fields=("bike",), condition=Q(state="open"), name="one_open_provenance_check_a_bike"
            ),
            models.CheckConstraint(
                condition=Q(state="open")
                | (Q(concluded_by__isnull=False) & Q(concluded_at__isnull=False)),
                name="concluded_provenance_has_name_and_time",
            ),
            models.CheckConstraint(
                condition=~Q(state="refused") | ~Q(refusal=""), name="refused_provenance_says_why"
            ),
            models.CheckConstraint(
                condition=~Q(state="passed")
                | (
                    ~Q(document="")
                    & ~Q(frame_first="")
                    & ~Q(frame_second="")
                    & ~Q(proof="")
                    & Q(register_result="not_listed", adult=True, signed=True)
                ),
                name="passed_provenance_is_whole",
            ),
        )

    def __str__(self) -> str:
        """Return the bike with how it stands."""
        return f"{self.bike}: {self.get_state_display()}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        """Save; raises ConcludedError where it is concluded."""
        if getattr(self, "_stored_state", State.OPEN) != State.OPEN:
            raise ConcludedError
        super().save(*args, **kwargs)
        self._stored_state = self.state

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        """Refuse: that a check was made is kept. Raises ConcludedError."""
        raise ConcludedError

    @classmethod
    def from_db(cls, *args: Any, **kwargs: Any) -> Self:
        """Remember the state as it is stored."""
        instance = super().from_db(*args, **kwargs)
        instance._stored_state = instance.__dict__.get("state", "")  # noqa: SLF001 - our own
        return instance


class SellerIdentity(models.Model):
    """Who the seller showed to be: personal data, deleted by ``manage.py retention``.

    ``number`` holds as much of the document's number as the shop's rule lets it. There is no
    history of these rows: what is deleted is gone.
    """

    provenance = models.OneToOneField(
        ProvenanceCheck, on_delete=models.CASCADE, related_name="identity"
    )
    name = models.CharField("name as shown", max_length=120)
    address = models.TextField("address as shown", max_length=400)
    number = models.CharField("number of the document", max_length=40, blank=True)
    difference = models.CharField("why it differs from our record", max_length=200, blank=True)

    class Meta:
        """How one is called."""

        verbose_name = "seller's identity"
        verbose_name_plural = "sellers' identities"

    def __str__(self) -> str:
        """Return the name."""
        return self.name
