"""What the catalogue's remedies come to, priced by the core: gross, with access and sundries."""

import datetime as dt
from decimal import Decimal

import pytest

from quotes.core.lines import BandRate, Job, OperationUse, PartUse, PriceBook, SundryRule
from quotes.core.pricing import price
from workshop.core.access import AccessStep, Operation
from workshop.core.judgement import Importance

DAY = dt.date(2026, 6, 1)
SUNDRIES = SundryRule(share=Decimal("0.03"), most_net=Decimal(15))


@pytest.fixture(scope="module")
def book(rows):
    return PriceBook(
        currency="GBP",
        labour={
            row.refs["band"]: BandRate(row.values["charged_net"], row.values["cost_net"])
            for row in sorted(rows["rate"].values(), key=lambda row: row.values["valid_from"])
            if row.values["valid_from"] <= DAY
        },
        vat_rates={row.values["code"]: row.values["rate"] for row in rows["vat_rate"].values()},
        steps={code: access_step(row) for code, row in rows["access_step"].items()},
        sundries=SUNDRIES,
    )


def access_step(row):
    needs = frozenset(link["to_accessstep"] for link in row.links["needs"])
    values = row.values
    return AccessStep(values["code"], values["name"], values["minutes"], row.refs["band"], needs)


def operation(row):
    return Operation(
        code=row.values["code"],
        name=row.values["name"],
        minutes=row.values["minutes"],
        band=row.refs["band"],
        access=frozenset(link["accessstep"] for link in row.links["access"]),
        covers=frozenset(link["to_operation"] for link in row.links["covers"]),
    )


def part(row, link):
    return PartUse(
        code=row.values["code"],
        name=row.values["name"],
        unit=row.values["unit"],
        quantity=link["quantity"],
        price_net=row.values["price_net"],
        cost_net=row.values["cost_net"],
        vat_code=row.values["vat_code"],
        operation=link["operation"],
    )


@pytest.fixture(scope="module")
def priced(rows, book):
    """A function that prices remedies of the catalogue together, each for a finding of its own."""

    def job(code):
        links = rows["remedy"][code].links
        return Job(
            finding=code,
            importance=Importance.SHOULD,
            remedy=code,
            operations=tuple(
                OperationUse(operation(rows["operation"][link["operation"]]), link["quantity"])
                for link in links["operations"]
            ),
            parts=tuple(part(rows["part"][link["part"]], link) for link in links["parts"]),
        )

    return lambda *codes: price([job(code) for code in codes], book)


# common practice, no source: what a customer pays for these three
@pytest.mark.parametrize(
    ("remedy", "least", "most"),
    [
        ("front-hub-adjust-grease", 20, 25),
        ("rear-hub-adjust-grease", 20, 25),
        ("bottom-bracket-renew", 40, 50),
        ("bottom-bracket-external-renew", 40, 50),
        ("rear-pivot-bushes-renew", 40, 50),
    ],
)
def test_known_jobs_come_to_what_the_trade_charges(priced, remedy, least, most):
    assert least <= priced(remedy).totals.whole.gross <= most


def test_the_known_jobs_are_what_is_proposed_first(rows):
    first = {
        code: min(row.links["remedies"], key=lambda option: option["rank"])["remedy"]
        for code, row in rows["fault"].items()
        if row.links["remedies"]
    }
    assert first["front-hub-play"] == "front-hub-adjust-grease"
    assert first["rear-hub-play"] == "rear-hub-adjust-grease"
    assert first["bottom-bracket-play"] == "bottom-bracket-renew"
    assert first["rear-pivot-play"] == "rear-pivot-bushes-renew"


def test_every_remedy_has_a_price_a_customer_can_believe(rows, priced):
    for code in rows["remedy"]:
        assert 1 < priced(code).totals.whole.gross < 250, code


def test_renewing_a_wheel_prices_no_work_on_the_old_one(priced):
    both = priced("front-wheel-renew", "front-hub-adjust-grease")
    assert both.covered == {"front-hub-adjust-grease": "Fit a new front wheel"}
    assert both.totals.whole.net == priced("front-wheel-renew").totals.whole.net


def test_two_jobs_behind_the_same_wheel_take_it_out_once(priced):
    together = priced("rear-hub-adjust-grease", "rear-tube-renew")
    assert [line.key for line in together.lines].count("access:rear-wheel-out") == 1
    apart = [priced(code) for code in ("rear-hub-adjust-grease", "rear-tube-renew")]
    assert together.totals.whole.net < sum(each.totals.whole.net for each in apart)
