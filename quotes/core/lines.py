"""What pricing takes in and gives out: jobs, the price book, priced lines, totals."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum

from workshop.core.access import AccessStep, Operation
from workshop.core.judgement import Importance


class Kind(StrEnum):
    """What a line charges for."""

    LABOUR = "labour"
    ACCESS = "access"
    PART = "part"
    SUNDRY = "sundry"
    HAND = "hand"


@dataclass(frozen=True, slots=True)
class OperationUse:
    """An operation as a remedy asks for it; its minutes count ``times`` over."""

    operation: Operation
    times: int = 1


@dataclass(frozen=True, slots=True)
class PartUse:
    """A part as a remedy asks for it, fitted by the operation of that code.

    Prices are per unit, net of VAT; ``cost_net`` is the shop's.
    """

    code: str
    name: str
    unit: str
    quantity: Decimal
    price_net: Decimal
    cost_net: Decimal
    vat_code: str
    operation: str


@dataclass(frozen=True, slots=True)
class Job:
    """A finding to be priced: its remedy's operations and parts; none where it has no remedy.

    ``finding`` identifies it; jobs come in the order of the walk.
    """

    finding: str
    importance: Importance
    remedy: str | None
    operations: tuple[OperationUse, ...] = ()
    parts: tuple[PartUse, ...] = ()


@dataclass(frozen=True, slots=True)
class BandRate:
    """Money per hour of a skill band, net: charged to the customer, and the shop's own cost."""

    charged_net: Decimal
    cost_net: Decimal


@dataclass(frozen=True, slots=True)
class SundryRule:
    """Sundries as a share of the labour of each importance, between a least and a most, net.

    The limits hold for the whole quote.
    """

    share: Decimal = Decimal(0)
    least_net: Decimal = Decimal(0)
    most_net: Decimal | None = None


@dataclass(frozen=True, slots=True)
class PriceBook:
    """The prices of a day. ``vat_rates`` are fractions by kind; empty where not registered."""

    currency: str
    labour: Mapping[str, BandRate]
    vat_rates: Mapping[str, Decimal]
    steps: Mapping[str, AccessStep]
    labour_vat: str = "standard"
    sundries: SundryRule = field(default_factory=SundryRule)
    registered: bool = True


@dataclass(frozen=True, slots=True)
class Change:
    """A change by hand to a computed line: another quantity or unit price, or left out."""

    quantity: Decimal | None = None
    unit_price_net: Decimal | None = None
    leave_out: bool = False
    reason: str = ""


@dataclass(frozen=True, slots=True)
class HandLine:
    """A line entered by hand, for ``findings`` (may be none); a price below zero is a discount.

    ``key`` is ``hand:<id>``. ``cost_net`` is what the whole line costs the shop.
    """

    key: str
    description: str
    quantity: Decimal
    unit: str
    unit_price_net: Decimal
    vat_code: str
    importance: Importance
    reason: str
    findings: tuple[str, ...] = ()
    cost_net: Decimal = Decimal(0)


@dataclass(frozen=True, slots=True)
class PricedLine:
    """A priced row. ``net``, ``vat`` and ``gross`` are quantised; a line left out counts nothing.

    ``quantity`` of labour and access is in minutes, its ``unit_price_net`` per hour; of other
    lines in ``unit`` at ``unit_price_net`` each. ``key`` is stable from pricing to pricing:
    ``labour:<operation>``, ``access:<step>``, ``part:<operation>:<part>``,
    ``sundry:<importance>``, ``hand:<id>``. ``cost_net`` is what the whole line costs the shop.
    ``needed_by`` are the keys of the labour that needs an access step, empty for other lines.
    """

    key: str
    kind: Kind
    description: str
    findings: tuple[str, ...]
    importance: Importance
    quantity: Decimal
    unit: str
    unit_price_net: Decimal
    net: Decimal
    vat_code: str
    vat_rate: Decimal
    vat: Decimal
    gross: Decimal
    cost_net: Decimal
    left_out: bool = False
    reason: str = ""
    needed_by: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class VatSum:
    """What falls under one VAT rate: net and VAT."""

    rate: Decimal
    net: Decimal
    vat: Decimal


@dataclass(frozen=True, slots=True)
class Sum:
    """Net, VAT and gross of some lines."""

    net: Decimal
    vat: Decimal
    gross: Decimal


@dataclass(frozen=True, slots=True)
class Totals:
    """The sums of the printed lines: in all, by importance, by VAT rate."""

    whole: Sum
    by_importance: Mapping[Importance, Sum]
    by_rate: tuple[VatSum, ...]


@dataclass(frozen=True, slots=True)
class Pricing:
    """Lines in the order of the walk; findings without a remedy; findings made needless.

    ``covered`` maps a finding all of whose operations are made needless to the name of the
    operation that does so. ``unpriced`` findings have neither remedy nor a hand line.
    ``stale_changes`` are the keys of changes by hand whose line no longer exists.
    """

    lines: tuple[PricedLine, ...]
    totals: Totals
    unpriced: tuple[str, ...]
    covered: Mapping[str, str]
    stale_changes: tuple[str, ...] = ()
