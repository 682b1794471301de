"""Leave rules in the catalogue: on its screens, and in its files."""

from __future__ import annotations

from typing import Any

from django import forms

from quotes.buyin.models import LeaveRule
from workshop.catalogue.forms import CatalogueForm, Figures, grouped
from workshop.catalogue.loading.kinds import Kind as FileKind
from workshop.catalogue.loading.kinds import Links
from workshop.catalogue.registry import Column, Group, Kind, Shape
from workshop.core.judgement import Judgement
from workshop.inspections.models import Fault

FROM = [(each.value, each.label) for each in Judgement if each is not Judgement.SOUND]


class LeaveRuleForm(CatalogueForm):
    """A reason to leave a bike whatever each job costs."""

    from_judgement = forms.ChoiceField(label="Counts findings from", choices=FROM)

    class Meta(Figures):
        model = LeaveRule
        fields = ("words", "from_judgement", "at_least", "faults", "active")
        widgets = {
            "words": forms.Textarea(attrs={"rows": 2}),
            "faults": forms.CheckboxSelectMultiple,
        }
        labels = {"at_least": "Holds from how many findings", "faults": "Only these faults"}
        help_texts = {
            "words": "What the verdict says; the number of findings is added to it.",
            "faults": "None chosen: every finding counts.",
        }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Show the faults under their checkpoints."""
        super().__init__(*args, **kwargs)
        rows = Fault.objects.select_related("checkpoint")
        field = self.fields["faults"]
        if isinstance(field, forms.ModelMultipleChoiceField):
            field.choices = grouped(rows, "checkpoint")

    def code_words(self) -> str:
        """Return the words that the code is made of."""
        return str(self.cleaned_data.get("words", ""))


KIND = Kind(
    slug="leave-rules",
    one="rule to leave a bike",
    many="Rules to leave a bike",
    group=Group.WALK,
    order=60,
    how=(
        "When a bike is better left even though each job by itself is cheap: many small faults, "
        "a worn-out chain. The margin check says “leave it” where one of these holds."
    ),
    model=LeaveRule,
    rows=LeaveRule.objects.all,
    form=LeaveRuleForm,
    columns=(
        Column("words", "Reason"),
        Column("from_judgement", "Counts from", Shape.JUDGEMENT),
        Column("at_least", "Findings at least", Shape.NUMBER),
        Column("active", "In use", Shape.YES_NO),
    ),
    search=("words", "code"),
    narrow=("from_judgement", "active"),
)

LEAVE_RULE = FileKind(
    LeaveRule,
    ("code", "words", "from_judgement", "at_least"),
    links={"faults": Links(LeaveRule.faults.through, "leaverule", {"fault": "fault"}, "fault")},
)
