"""Which part of a remedy goes on a bike: the one named, or another size of it that fits."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.core.exceptions import ObjectDoesNotExist
from django.db.models import Q

from inventory.core.fitting import Answer, Facts, Fit, does_it_fit
from inventory.parts.models import Part
from workshop.bikes.fitting import facts_of
from workshop.bikes.models import Bike


@dataclass(frozen=True, slots=True)
class PartFit:
    """Whether a part of a remedy fits the bike; ``instead_of`` is the part that remedy names.

    Only parts of which something is kept that tells what they fit have one.
    """

    code: str
    name: str
    fit: Fit
    instead_of: str = ""

    @property
    def words(self) -> str:
        """Return what is to be said: that it does not fit, may not fit, or stands for another."""
        first = self.fit.reasons[0]
        if self.fit.answer is Answer.NO:
            return f"“{self.name}” does not fit: {first}"
        if self.fit.answer is Answer.UNKNOWN:
            return f"Not known whether “{self.name}” fits: {first}"
        return f"“{self.name}” instead of “{self.instead_of}”: {first}" if self.instead_of else ""


@dataclass(frozen=True, slots=True)
class Taken:
    """The part that goes on a bike, with its fit where anything is kept that tells."""

    part: Part
    told: PartFit | None


def taken_for(parts: Iterable[Part], bike: Bike) -> Mapping[int, Taken]:
    """Return which part goes on a bike for each part that remedies name (by pk), in two queries.

    Where the part named has sizes, or itself is one and does not fit, the cheapest size in use
    that surely fits takes its place; else the only one that something speaks for and nothing
    against. The parts' facts of fit are to be fetched with them.
    """
    named = {part.pk: part for part in parts}
    sizes = _sizes_of(named.values())
    known = facts_of(bike)
    return {pk: _taken(part, sizes[_root(part)], known) for pk, part in named.items()}


def _root(part: Part) -> int:
    """Return what a part is a size of: another one, or itself."""
    return part.size_of_id or part.pk


def _sizes_of(parts: Iterable[Part]) -> Mapping[int, Sequence[Part]]:
    """Return the parts in use that are sizes of the same, cheapest for the customer first."""
    roots = {_root(part) for part in parts}
    rows = Part.objects.filter(Q(size_of__in=roots) | Q(pk__in=roots), active=True)
    sizes: dict[int, list[Part]] = defaultdict(list)
    for row in rows.select_related("fit").order_by("price_net", "code"):
        sizes[_root(row)].append(row)
    return sizes


def _taken(part: Part, sizes: Sequence[Part], bike: Facts) -> Taken:
    own = _fit(part, bike)
    told = PartFit(part.code, part.name, own) if own else None
    if part.size_of_id and not (own and own.answer is Answer.NO):
        return Taken(part, told)
    pairs = ((other, _fit(other, bike)) for other in sizes if other.pk != part.pk)
    others = [
        Taken(other, PartFit(other.code, other.name, fit, part.name)) for other, fit in pairs if fit
    ]
    return _best(others) or Taken(part, told)


def _best(others: Sequence[Taken]) -> Taken | None:
    """Return the first that surely fits, else the only one that may."""
    fits = [(each, each.told.fit) for each in others if each.told]
    sure = [each for each, fit in fits if fit.answer is Answer.YES]
    likely = [each for each, fit in fits if fit.answer is Answer.UNKNOWN and fit.agrees]
    if sure:
        return sure[0]
    return likely[0] if len(likely) == 1 else None


def _fit(part: Part, bike: Facts) -> Fit | None:
    """Return whether a part fits; None where nothing is kept that tells."""
    try:
        kept = part.fit
    except ObjectDoesNotExist:
        return None
    return does_it_fit(kept.facts(), bike) if kept.told else None
