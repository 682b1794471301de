"""Notes who the seller showed to be."""

from __future__ import annotations

from dataclasses import dataclass

from django.db import transaction

from quotes.provenance.models import NumberKept, ProvenanceCheck, SellerIdentity
from quotes.provenance.selectors import number_rule
from quotes.provenance.verbs.locking import locked

END = 4


@dataclass(frozen=True, slots=True)
class SellerSeen:
    """What a seller's document shows.

    ``number`` is the whole one; ``difference`` says why name or address are not as in our record.
    """

    document: str
    name: str
    address: str
    adult: bool
    document_other: str = ""
    number: str = ""
    difference: str = ""


@transaction.atomic
def note_seller(
    check: ProvenanceCheck, seen: SellerSeen, *, correct_record: bool = False
) -> SellerIdentity:
    """Return what is kept of a seller: of the document's number only what the shop's rule lets.

    With ``correct_record`` the customer's record takes name and address as shown.

    Raises:
        ConcludedError: the check is concluded.
    """
    check = locked(check)
    seller = check.seller
    if correct_record:
        seller.name, seller.address = seen.name, seen.address
        seller.full_clean()
        seller.save()
    check.document, check.document_other = seen.document, seen.document_other
    check.adult = seen.adult
    check.matches = same(seen.name, seller.name) and same(seen.address, seller.address)
    check.save()
    identity, _ = SellerIdentity.objects.update_or_create(
        provenance=check,
        defaults={
            "name": seen.name,
            "address": seen.address,
            "number": kept_of(seen.number),
            "difference": "" if check.matches else seen.difference,
        },
    )
    return identity


def same(one: str, other: str) -> bool:
    """Tell whether two texts are the same but for capitals, spaces, commas and lines."""
    return words(one) == words(other)


def words(text: str) -> list[str]:
    """Return the words of a text as they are compared."""
    return text.casefold().replace(",", " ").split()


def kept_of(number: str) -> str:
    """Return as much of a document's number as the shop keeps."""
    bare = "".join(each for each in number if each.isalnum())
    match number_rule().number:
        case NumberKept.FULL:
            return bare
        case NumberKept.END:
            return bare[-END:]
        case _:
            return ""
