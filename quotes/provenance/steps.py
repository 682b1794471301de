"""What each step of the check asks on screen, and the verb that keeps the answer."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from django import forms

from quotes.provenance.forms import ProofForm, RegisterForm, SellerForm, StatementForm
from quotes.provenance.models import ProvenanceCheck
from quotes.provenance.selectors import number_rule
from quotes.provenance.verbs.note_proof import note_proof
from quotes.provenance.verbs.note_register import note_register
from quotes.provenance.verbs.note_seller import note_seller
from quotes.provenance.verbs.note_signed import note_signed
from workshop.people.models import User

Data = Mapping[str, Any] | None


@dataclass(frozen=True, slots=True)
class Asked:
    """A step's form, made for a check, and what keeps a valid one."""

    form: Callable[[ProvenanceCheck, Data], forms.Form]
    keep: Callable[[ProvenanceCheck, Any, User], object]


def seller_form(check: ProvenanceCheck, data: Data) -> forms.Form:
    """Return the form about the seller, filled with what is kept."""
    first: dict[str, Any] = {}
    if hasattr(check, "identity"):
        seen = check.identity
        first = {
            "document": check.document,
            "document_other": check.document_other,
            "number": seen.number,
            "adult": check.adult,
            "name": seen.name,
            "address": seen.address,
            "difference": seen.difference,
        }
        if not check.matches:
            first["shown"] = "otherwise"
    return SellerForm(data, initial=first, check=check, keeping=number_rule())


def proof_form(check: ProvenanceCheck, data: Data) -> forms.Form:
    """Return the form about the proof of purchase."""
    return ProofForm(data, initial={"proof": check.proof, "note": check.proof_note})


def register_form(check: ProvenanceCheck, data: Data) -> forms.Form:
    """Return the form about the registers."""
    first = {
        "result": check.register_result,
        "on": check.register_on,
        "note": check.register_note,
    }
    return RegisterForm(data, initial=first)


def statement_form(check: ProvenanceCheck, data: Data) -> forms.Form:
    """Return the form about the declaration."""
    return StatementForm(data, initial={"signed": check.signed})


ASKED = {
    "seller": Asked(seller_form, lambda check, form, _by: note_seller(check, **form.values())),
    "proof": Asked(proof_form, lambda check, form, _by: note_proof(check, **form.cleaned_data)),
    "register": Asked(
        register_form, lambda check, form, by: note_register(check, by=by, **form.cleaned_data)
    ),
    "statement": Asked(
        statement_form, lambda check, form, by: note_signed(check, by=by, **form.cleaned_data)
    ),
}
