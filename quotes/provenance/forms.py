"""The forms of a provenance check, one for each step, and how much of a number is kept."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils import timezone

from quotes.provenance.models import (
    Document,
    IdentityKeeping,
    NumberKept,
    Proof,
    ProvenanceCheck,
    RegisterResult,
)
from quotes.provenance.verbs.note_seller import SellerSeen, same
from workshop.customers.models import Customer

AS_RECORDED, OTHERWISE = "as_recorded", "otherwise"
NUMBER_HELP = {
    NumberKept.END: "Only its last four characters are kept.",
    NumberKept.FULL: "All of it is kept, since the law asks for it.",
}
TYPED = {"autocomplete": "off", "autocapitalize": "characters", "spellcheck": "false"}


class SellerForm(forms.Form):
    """Who the seller showed to be, against our record of them."""

    document = forms.ChoiceField(
        label="Document seen", choices=Document.choices, widget=forms.RadioSelect
    )
    document_other = forms.CharField(label="Which", max_length=80, required=False)
    number = forms.CharField(
        label="Number of the document",
        max_length=40,
        required=False,
        widget=forms.TextInput(attrs=TYPED),
    )
    adult = forms.BooleanField(
        label="Over 18, by the date of birth on it",
        error_messages={
            "required": "We buy from nobody under 18: refuse the bike, or ask for a parent."
        },
    )
    shown = forms.ChoiceField(label="Name and address on it", widget=forms.RadioSelect)
    name = forms.CharField(label="Name as shown", max_length=120, required=False)
    address = forms.CharField(
        label="Address as shown",
        max_length=400,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    correct_record = forms.BooleanField(label="Put these into our record", required=False)
    difference = forms.CharField(
        label="Why it differs from our record",
        help_text="Moved, married, a short form … Not needed where our record is corrected.",
        max_length=200,
        required=False,
    )

    def __init__(
        self, *args: Any, check: ProvenanceCheck, keeping: IdentityKeeping, **kwargs: Any
    ) -> None:
        """Offer our record as it stands; ask for a number only where some of it is kept."""
        super().__init__(*args, **kwargs)
        self.seller: Customer = check.seller
        if keeping.number == NumberKept.NONE:
            del self.fields["number"]
        else:
            self.fields["number"].help_text = NUMBER_HELP[NumberKept(keeping.number)]
        shown = self.fields["shown"]
        assert isinstance(shown, forms.ChoiceField)  # noqa: S101 - for the type
        recorded = ", ".join([self.seller.name, *self.seller.address.splitlines()])
        as_recorded = (
            [(AS_RECORDED, f"As in our record: {recorded}")] if self.seller.address else []
        )
        shown.choices = [*as_recorded, (OTHERWISE, "As I write it below")]
        self.initial.setdefault("shown", shown.choices[0][0])
        self.initial.setdefault("name", self.seller.name)
        self.initial.setdefault("correct_record", not self.seller.address)

    def clean(self) -> dict[str, Any]:
        """Take our record where it is shown; else name, address and why they differ are needed."""
        data = self.cleaned_data
        if data.get("document") == Document.OTHER and not data.get("document_other"):
            self.add_error("document_other", "Write what was shown.")
        if data.get("shown") == AS_RECORDED:
            data["name"], data["address"] = self.seller.name, self.seller.address
        elif data.get("shown"):
            self.check_otherwise(data)
        return data

    def check_otherwise(self, data: dict[str, Any]) -> None:
        """See that what is written is whole, and that a difference is explained."""
        for name, words in (("name", "the name"), ("address", "the address")):
            if name in data and not data[name]:
                self.add_error(name, f"Write {words} as it stands on the document.")
        if not (data.get("name") and data.get("address")):
            return
        is_same = same(data["name"], self.seller.name) and same(
            data["address"], self.seller.address
        )
        if not (is_same or data.get("correct_record") or data.get("difference")):
            self.add_error("difference", "Say why, or put it into our record.")

    def values(self) -> dict[str, Any]:
        """Return what the verb takes."""
        data = self.cleaned_data
        is_other = data["document"] == Document.OTHER
        seen = SellerSeen(
            document=data["document"],
            document_other=data["document_other"] if is_other else "",
            name=data["name"],
            address=data["address"],
            adult=data["adult"],
            number=data.get("number", ""),
            difference=data["difference"],
        )
        correct = data["shown"] == OTHERWISE and data["correct_record"]
        return {"seen": seen, "correct_record": correct}


class FrameForm(forms.Form):
    """One reading of the frame number."""

    number = forms.CharField(
        label="Frame number as it is stamped",
        help_text="Under the bottom bracket, on the seat tube, or at the hinge. Read it yourself.",
        max_length=40,
        widget=forms.TextInput(attrs=TYPED),
    )


class ProofForm(forms.Form):
    """What shows that the seller bought the bike."""

    proof = forms.ChoiceField(
        label="What was shown", choices=Proof.choices, widget=forms.RadioSelect
    )
    note = forms.CharField(
        label="What it says",
        help_text="Date, shop, price, whether the frame number stands on it. No names.",
        max_length=200,
        required=False,
    )

    def clean(self) -> dict[str, Any]:
        """Ask what else was shown."""
        data = self.cleaned_data
        if data.get("proof") == Proof.OTHER and not data.get("note"):
            self.add_error("note", "Write what was shown.")
        return data


class RegisterForm(forms.Form):
    """What a register says."""

    result = forms.ChoiceField(
        label="The register says", choices=RegisterResult.choices, widget=forms.RadioSelect
    )
    on = forms.DateField(
        label="Looked up on", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    note = forms.CharField(
        label="Note",
        help_text="Which registers; or why none could be checked.",
        max_length=200,
        required=False,
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Propose today."""
        super().__init__(*args, **kwargs)
        self.initial["on"] = self.initial.get("on") or timezone.localdate()

    def clean(self) -> dict[str, Any]:
        """Refuse a day to come; ask why a register could not be checked."""
        data = self.cleaned_data
        if data.get("on") and data["on"] > timezone.localdate():
            self.add_error("on", "This day has not come yet.")
        if data.get("result") == RegisterResult.NOT_CHECKED and not data.get("note"):
            self.add_error("note", "Say why it could not be checked.")
        return data


class StatementForm(forms.Form):
    """The seller's signature."""

    signed = forms.BooleanField(
        label="The seller signed the declaration before me",
        error_messages={"required": "Tick this once the seller has signed before you."},
    )


class RefusalForm(forms.Form):
    """Why a bike is refused."""

    reason = forms.CharField(
        label="Why it is refused",
        help_text="What was seen of the bike. No names: this stays.",
        max_length=300,
        widget=forms.Textarea(attrs={"rows": 2}),
    )


class KeepingForm(forms.ModelForm):  # type: ignore[type-arg] # not subscriptable at run time
    """How much of a document's number is kept."""

    number = forms.ChoiceField(
        label="Of a document’s number we keep",
        choices=NumberKept.choices,
        widget=forms.RadioSelect,
    )

    class Meta:
        model = IdentityKeeping
        fields = ("number", "law")
        help_texts = {"law": "Needed where all of the number is kept."}
