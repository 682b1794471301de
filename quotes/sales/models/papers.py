"""Names and papers of the stock book, apart from its rows: lists never load a PDF."""

from __future__ import annotations

from django.db import models
from django.db.models import Q

from quotes.sales.models.bought import Purchase
from quotes.sales.models.kept import Kept
from quotes.sales.models.sold import CreditNote, Reduction, Sale


class Party(Kept):
    """Who sold a bike to the shop, or bought it: personal data, deleted by ``retention``."""

    purchase = models.OneToOneField(
        Purchase, on_delete=models.PROTECT, null=True, blank=True, related_name="seller"
    )
    sale = models.OneToOneField(
        Sale, on_delete=models.PROTECT, null=True, blank=True, related_name="buyer"
    )
    name = models.CharField("name", max_length=120)
    address = models.TextField("address", max_length=400)

    class Meta:
        """A seller or a buyer, with a name."""

        verbose_name = "name in the stock book"
        verbose_name_plural = "names in the stock book"
        constraints = (
            models.CheckConstraint(
                condition=Q(purchase__isnull=True) ^ Q(sale__isnull=True),
                name="party_sold_or_bought",
            ),
            models.CheckConstraint(condition=~Q(name=""), name="party_has_a_name"),
        )

    def __str__(self) -> str:
        """Return the name."""
        return self.name


OWNERS = ("purchase", "sale", "credit_note", "reduction")


def _only(owner: str) -> Q:
    """Return the condition that a paper is of this and of nothing else."""
    return Q(**{f"{each}__isnull": each != owner for each in OWNERS})


class Paper(Kept):
    """The bytes of a receipt, an invoice or a credit note as it was made."""

    purchase = models.OneToOneField(
        Purchase, on_delete=models.PROTECT, null=True, blank=True, related_name="paper"
    )
    sale = models.OneToOneField(
        Sale, on_delete=models.PROTECT, null=True, blank=True, related_name="paper"
    )
    credit_note = models.OneToOneField(
        CreditNote, on_delete=models.PROTECT, null=True, blank=True, related_name="paper"
    )
    reduction = models.OneToOneField(
        Reduction, on_delete=models.PROTECT, null=True, blank=True, related_name="paper"
    )
    pdf = models.BinaryField()
    sha256 = models.CharField(max_length=64)
    made_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        """Of one thing only."""

        constraints = (
            models.CheckConstraint(
                condition=_only("purchase")
                | _only("sale")
                | _only("credit_note")
                | _only("reduction"),
                name="paper_of_one_thing",
            ),
        )

    def __str__(self) -> str:
        """Return what it is the paper of."""
        return f"PDF of {self.purchase or self.sale or self.credit_note or self.reduction}"
