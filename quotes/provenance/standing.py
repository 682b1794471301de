"""What a provenance check still lacks, and what speaks against buying, in plain sentences."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from quotes.provenance.models import ProvenanceCheck, RegisterResult
from workshop.bikes.models import normal_frame_number

STOLEN_ADVICE = (
    "Keep calm and friendly, and accuse nobody: a register can be wrong.",
    "The person before you may have bought the bike in good faith.",
    "Do not confront or hold anybody, and do not hand the bike's details out.",
    "Say that you can't buy today, without saying why if that feels unsafe.",
    "Note the time, the bike, and what you saw. Then tell the police; they take it from there.",
)
"""# common practice, no source"""


@dataclass(frozen=True, slots=True)
class Step:
    """A part of the check: its name in addresses, its title and button, what it still lacks."""

    slug: str
    title: str
    verb: str
    lacks: Callable[[ProvenanceCheck], tuple[str, ...]]


def seller_lacks(check: ProvenanceCheck) -> tuple[str, ...]:
    """Return what is not known of the seller."""
    if not check.document or not hasattr(check, "identity"):
        return ("Who sells the bike has not been noted.",)
    lacks = [] if check.adult else ["The seller is not noted as over 18."]
    if not check.matches and not check.identity.difference:
        lacks.append("Name or address differ from our record, and nothing says why.")
    return tuple(lacks)


def frame_lacks(check: ProvenanceCheck) -> tuple[str, ...]:
    """Return what is wrong with the readings of the frame number."""
    bike = check.bike
    lack = ""
    if not bike.frame_number:
        lack = (
            f"Our record has no frame number ({bike.frame_number_missing}). Without one the bike "
            "can't be told from a stolen one: put it into the record, or refuse the bike."
        )
    elif not check.frame_first:
        lack = "The frame number has not been read."
    elif not check.frame_second:
        lack = "The frame number has been read only once."
    elif normal_frame_number(check.frame_first) != bike.frame_key:
        lack = (
            f"The frame number was read as {check.frame_first}, but the bike is booked in as "
            f"{bike.frame_number}. Correct the bike's record, or read it anew."
        )
    return (lack,) if lack else ()


def proof_lacks(check: ProvenanceCheck) -> tuple[str, ...]:
    """Return what is missing of the proof of purchase; that there is none is an answer too."""
    return () if check.proof else ("Whether the seller can prove the purchase is not noted.",)


def register_lacks(check: ProvenanceCheck) -> tuple[str, ...]:
    """Return what speaks against the bike in the registers."""
    if not check.register_result:
        return ("No register of stolen bikes has been looked up.",)
    if check.register_result == RegisterResult.LISTED:
        return ("A register lists the bike as stolen. Refuse it.",)
    if check.register_result == RegisterResult.NOT_CHECKED:
        return (f"The register could not be checked: {check.register_note.rstrip('.')}.",)
    return ()


def statement_lacks(check: ProvenanceCheck) -> tuple[str, ...]:
    """Return whether the seller's declaration is missing."""
    return () if check.signed else ("The seller has not signed the declaration.",)


STEPS = (
    Step("seller", "Who sells it", "Note the seller", seller_lacks),
    Step("frame", "Frame number, read twice", "Read the number", frame_lacks),
    Step("proof", "Proof of purchase", "Note the proof", proof_lacks),
    Step("register", "Registers of stolen bikes", "Look it up", register_lacks),
    Step("statement", "Seller’s declaration", "Note the signature", statement_lacks),
)


def lacking(check: ProvenanceCheck) -> list[str]:
    """Return everything that keeps a check from being passed, in the order of its steps."""
    return [each for step in STEPS for each in step.lacks(check)]
