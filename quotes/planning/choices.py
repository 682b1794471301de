"""Which remedies may cure which finding: options that fit, packages, locks, bonds."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

from quotes.core.planning import Candidate, Limits
from quotes.planning.asked import Asked, Task
from quotes.planning.models import BondKind, LockKind, PlanLock, RemedyBond, ServicePackage
from quotes.planning.tariff import works_for
from quotes.quoting.selectors.book import RemedyWork, works_of
from quotes.quoting.selectors.found import meant_for
from workshop.bikes.kinds import is_for
from workshop.bikes.models import Bike
from workshop.core.judgement import Judgement
from workshop.inspections.models import RemedyOption
from workshop.labour.models import Remedy, RemedyKind

DEPTH = {
    RemedyKind.ADJUST: 0,
    RemedyKind.SERVICE: 1,
    RemedyKind.REPAIR: 2,
    RemedyKind.RENEW: 3,
}
Options = Mapping[int, Sequence[RemedyOption]]


@dataclass(frozen=True, slots=True)
class Choices:
    """What a plan may choose from.

    ``cures`` maps a remedy (by pk) to the findings it may cure; ``open`` are the findings to be
    planned, ``left`` those that are not, each with why. ``packaged`` are remedies that stand for
    a package, by its name. ``bonds`` are those between remedies that may be chosen. ``misfits``
    are remedies left out since a part of theirs does not fit the bike, each with why.
    """

    open: tuple[Asked, ...]
    left: tuple[tuple[Asked, str], ...]
    cures: Mapping[int, frozenset[str]]
    remedies: Mapping[int, Remedy]
    works: Mapping[int, RemedyWork]
    packaged: Mapping[int, str]
    locks: Mapping[int, tuple[PlanLock, ...]]
    bonds: tuple[RemedyBond, ...]
    misfits: Mapping[int, str]

    @property
    def candidates(self) -> tuple[Candidate, ...]:
        """Return them as the core takes them."""
        needs: dict[int, set[str]] = defaultdict(set)
        for bond in self.bonds:
            if bond.kind == BondKind.NEEDS:
                needs[bond.remedy_id].add(str(bond.other_id))
        return tuple(
            Candidate(
                code=str(pk),
                cures=cures,
                works=works_for(self.works[pk]),
                needs=frozenset(needs[pk]),
            )
            for pk, cures in self.cures.items()
        )

    @property
    def limits(self) -> Limits:
        """Return which remedies never go together, and what stands now."""
        return Limits(
            keep={each.key: str(each.remedy) for each in self.open},
            exclude=frozenset(
                frozenset((str(bond.remedy_id), str(bond.other_id)))
                for bond in self.bonds
                if bond.kind == BondKind.EXCLUDES
            ),
        )


def choices_for(task: Task, taken: frozenset[tuple[int, int]] = frozenset()) -> Choices:
    """Return what may be chosen, in a constant number of queries.

    ``taken`` are pairs of finding and remedy that an earlier plan chose: those are not a
    person's choice, though the draft has them as chosen.
    """
    wanted = [each for each in task.findings if not each.skip]
    options = _options(wanted)
    packages = _packages(wanted, task.bike)
    locks = _locks(wanted)
    remedies = _remedies(options, packages, locks)
    works = works_of(remedies, task.bike)
    misfits = _misfits(works)
    ways = {
        each.finding: _ways(each, options[each.fault], task.bike, works, misfits) for each in wanted
    }
    for package in packages:
        if package.remedy_id not in misfits:
            faults = {fault.pk for fault in package.faults.all()}
            for each in wanted:
                if each.fault in faults:
                    ways[each.finding].add(package.remedy_id)
    for each in wanted:
        own = locks.get(each.finding, ())
        ways[each.finding] = _as_locked(each, ways[each.finding], own, taken, remedies)
    cures: dict[int, set[str]] = defaultdict(set)
    for each in wanted:
        for pk in ways[each.finding]:
            cures[pk].add(each.key)
    return Choices(
        open=tuple(each for each in wanted if ways[each.finding]),
        left=(
            *((each, each.skip) for each in task.findings if each.skip),
            *(
                (each, _why_none(options[each.fault], misfits))
                for each in wanted
                if not ways[each.finding]
            ),
        ),
        cures={pk: frozenset(cures[pk]) for pk in sorted(cures)},
        remedies=remedies,
        works=works,
        packaged={each.remedy_id: each.name for each in packages},
        locks=locks,
        bonds=_bonds(cures),
        misfits={pk: why for pk, why in misfits.items() if pk not in cures},
    )


def _why_none(options: Iterable[RemedyOption], misfits: Mapping[int, str]) -> str:
    """Return why a finding is not planned: what stands in the way of its remedies."""
    reasons = {misfits[each.remedy_id].rstrip(".") for each in options if each.remedy_id in misfits}
    return ". ".join(("no remedy fits: price it by hand", *sorted(reasons)))


def _options(wanted: Iterable[Asked]) -> Options:
    found: dict[int, list[RemedyOption]] = defaultdict(list)
    rows = RemedyOption.objects.filter(
        fault__in=[each.fault for each in wanted], remedy__active=True
    )
    for row in rows.select_related("remedy", "fault__checkpoint").order_by("rank", "pk"):
        found[row.fault_id].append(row)
    return found


def _packages(wanted: Iterable[Asked], bike: Bike) -> list[ServicePackage]:
    """Return the packages for the bike of whose faults enough were found."""
    faults = [each.fault for each in wanted]
    rows = ServicePackage.objects.filter(active=True, remedy__active=True)
    return [
        each
        for each in rows.select_related("remedy").prefetch_related("faults").order_by("pk")
        if is_for(each.remedy, bike)
        and sum(fault.pk in faults for fault in each.faults.all()) >= each.at_least
    ]


def _locks(wanted: Iterable[Asked]) -> dict[int, tuple[PlanLock, ...]]:
    found: dict[int, list[PlanLock]] = defaultdict(list)
    rows = PlanLock.objects.filter(finding__in=[each.finding for each in wanted])
    for row in rows.select_related("remedy", "by"):
        found[row.finding_id].append(row)
    return {finding: tuple(rows) for finding, rows in found.items()}


def _remedies(
    options: Options,
    packages: Iterable[ServicePackage],
    locks: Mapping[int, Iterable[PlanLock]],
) -> dict[int, Remedy]:
    found = [option.remedy for rows in options.values() for option in rows]
    found += [each.remedy for each in packages]
    found += [each.remedy for rows in locks.values() for each in rows]
    return {each.pk: each for each in found}


def _misfits(works: Mapping[int, RemedyWork]) -> dict[int, str]:
    """Return the remedies with a part that does not fit the bike, and why it does not."""
    return {pk: work.misfits[0].words for pk, work in works.items() if work.misfits}


def _ways(
    asked: Asked,
    options: Sequence[RemedyOption],
    bike: Bike,
    works: Mapping[int, RemedyWork],
    misfits: Collection[int],
) -> set[int]:
    """Return the remedies that soundly cure a finding: the proposed one and those as good.

    Where a part of the proposed one does not fit, the next that fits and goes no less deep is
    proposed in its place.
    """
    meant = [
        option.remedy
        for option in options
        if option.suits(bike) and meant_for(option, asked.judgement)
    ]
    if not meant:
        return set()
    fitting = [each for each in meant if each.pk not in misfits]
    watched = asked.judgement is Judgement.WATCH
    deep = (each for each in fitting if watched or _depth(each) >= _depth(meant[0]))
    proposed = next(deep, None)
    if proposed is None:
        return set()
    return {each.pk for each in fitting if is_as_good(each, proposed, asked.judgement, works)}


def _depth(remedy: Remedy) -> int:
    """Return how deep a remedy goes."""
    return DEPTH[RemedyKind(remedy.kind)]


def is_as_good(
    remedy: Remedy, proposed: Remedy, judgement: Judgement, works: Mapping[int, RemedyWork]
) -> bool:
    """Tell whether a remedy may stand for the proposed one without anybody saying so.

    What is only to be watched may be cured in any way meant for it. Anything worse is cured by
    all that was proposed, done or made needless by what is done, and no less deeply. Where two
    remedies do the same work with other parts it hangs on what the bike has: the proposed stays.
    """
    if remedy.pk == proposed.pk or judgement is Judgement.WATCH:
        return True
    if _depth(remedy) < _depth(proposed):
        return False
    own = {use.operation.code: use.operation for use in works[remedy.pk].operations}
    asked = {use.operation.code for use in works[proposed.pk].operations}
    dealt_with = set(own).union(*(each.covers for each in own.values()))
    return asked <= dealt_with and own.keys() != asked


def _as_locked(
    asked: Asked,
    ways: set[int],
    locks: Iterable[PlanLock],
    taken: frozenset[tuple[int, int]],
    remedies: Mapping[int, Remedy],
) -> set[int]:
    """Return the ways that are left by what people set by hand."""
    locked = {each.remedy_id for each in locks if each.kind == LockKind.LOCK}
    barred = {each.remedy_id for each in locks if each.kind == LockKind.BAR}
    if locked:
        return locked
    if (
        asked.by_hand
        and asked.remedy is not None
        and asked.remedy in remedies
        and asked.remedy not in barred
        and (asked.finding, asked.remedy) not in taken
    ):
        return {asked.remedy}
    return ways - barred


def _bonds(cures: Mapping[int, object]) -> tuple[RemedyBond, ...]:
    """Return the bonds between remedies that may both be chosen."""
    rows = RemedyBond.objects.filter(active=True, remedy__in=cures, other__in=cures)
    return tuple(rows.select_related("remedy", "other"))
