"""Skill bands in the catalogue."""

from __future__ import annotations

from workshop.catalogue.forms import CatalogueForm, Figures
from workshop.catalogue.registry import Column, Group, Kind
from workshop.labour.models import SkillBand


class SkillBandForm(CatalogueForm):
    """A level of skill."""

    class Meta(Figures):
        model = SkillBand
        fields = ("name",)


KIND = Kind(
    slug="skill-bands",
    one="skill band",
    many="Skill bands",
    group=Group.MONEY,
    order=20,
    how="A level of skill that is charged at a rate of its own. Give a new one a labour rate too.",
    model=SkillBand,
    rows=SkillBand.objects.all,
    form=SkillBandForm,
    columns=(Column("name", "Name"), Column("code", "Code")),
    search=("name", "code"),
)
