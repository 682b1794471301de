"""Weighing a buy-in: the ceiling put back in holds, ways side by side, what is kept is the same."""

from __future__ import annotations

import json
from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest
from django.utils import timezone

from quotes.core.margin import check
from quotes.core.risk import profit_at, simulate
from quotes.deciding.basis import ground_of
from quotes.deciding.figures import Figures, Given
from quotes.deciding.keeping import kept, read_back
from quotes.deciding.weighing import _jobs, likely_input, venture_of, weigh
from tests.factories import quotes as made
from tests.factories.bikes import BikeFactory
from tests.factories.planning import hidden_risk
from tests.factories.resale import on_a_line
from workshop.shop.selectors import current_shop

pytestmark = pytest.mark.django_db

GIVEN = Given(
    price=Decimal(90),
    resale_low=Decimal(280),
    resale=Decimal(320),
    resale_high=Decimal(370),
    target=Decimal(80),
    confidence=Decimal("0.8"),
    scheme="margin",
    vat_rate=Decimal("0.2"),
    selling_fee_share=Decimal("0.02"),
    selling_fee_net=Decimal(4),
    warranty_share=Decimal("0.03"),
    parts_value=Decimal(100),
    guess=None,
    currency="GBP",
)


def ground(bike):
    return ground_of(bike, current_shop(), timezone.localdate())


@pytest.mark.parametrize("scheme", ["margin", "ordinary"])
@pytest.mark.parametrize("confidence", ["0.6", "0.8", "0.95"])
def test_the_ceiling_put_back_in_is_met_by_that_share_of_the_draws(bike, scheme, confidence):
    hidden_risk("rust")
    known = ground(bike)
    given = replace(GIVEN, scheme=scheme, confidence=Decimal(confidence))
    figures = weigh(given, known)
    assert figures.ceiling is not None
    again = replace(given, price=figures.ceiling)
    venture = venture_of(again, known, _jobs(again, known))
    outlook = simulate(venture)
    profit = profit_at(float(figures.ceiling), outlook.resale, outlook.cost, venture)
    assert np.mean(profit >= 80 - 1e-9) == pytest.approx(float(confidence), abs=0.001)
    assert weigh(again, known).word == "buy"
    assert weigh(replace(again, price=figures.ceiling + 1), known).word == "haggle"


def test_the_likely_case_is_the_margin_checks(bike):
    known = ground(bike)
    figures = weigh(GIVEN, known)
    result = check(likely_input(figures))
    assert figures.profit_likely == result.profit
    assert figures.ceiling_likely == result.ceiling_price
    assert figures.work_likely == known.work.likely


def test_what_may_hide_lowers_the_ceiling_not_the_likely_case(bike):
    before = weigh(GIVEN, ground(bike))
    hidden_risk("rust", cost_high_net=Decimal(200))
    after = weigh(GIVEN, ground(bike))
    assert after.ceiling < before.ceiling
    assert after.ceiling_likely == before.ceiling_likely
    assert [each.words for each in after.hidden] == ["rust"]


def test_the_drawn_cost_agrees_with_the_closed_form(bike):
    hidden_risk("rust")
    checked = weigh(GIVEN, ground(bike)).checked
    assert float(checked.mean) == pytest.approx(float(checked.mean_exact), rel=0.02)
    assert float(checked.deviation) == pytest.approx(float(checked.deviation_exact), rel=0.03)


def test_ways_stand_side_by_side(bike):
    figures = weigh(GIVEN, ground(bike))
    ways = {way.name: way for way in figures.ways}
    assert list(ways) == ["Repair it in full", "Only the must-dos", "For parts", "Leave it"]
    assert ways["Only the must-dos"].resale == Decimal(272)
    assert ways["For parts"].resale == Decimal(100)
    assert ways["For parts"].minutes == 90
    assert (ways["Leave it"].profit, ways["Leave it"].reaches) == (0, None)
    assert ways["Repair it in full"].profit == figures.profit_likely
    assert "Repair it in full" in figures.best_words


def test_a_deal_breaker_a_rule_and_a_refusal_end_the_matter(bike, draft):
    row = made.row_of(draft, "hub-play")
    row.finding.deal_breaker = True
    row.finding.save()
    figures = weigh(replace(GIVEN, price=Decimal(1)), ground(bike))
    assert figures.word == "leave"
    assert figures.reasons[0].startswith("Deal-breaker: ")
    assert figures.opening is None


def test_a_bike_refused_for_where_it_comes_from_is_left(bike):
    known = replace(ground(bike), refused=True, provenance=("Refused: a register lists it.",))
    figures = weigh(replace(GIVEN, price=Decimal(1)), known)
    assert figures.word == "leave"
    assert "Refused: a register lists it." in figures.reasons


def test_provenance_not_checked_does_not_change_the_word(bike):
    known = ground(bike)
    assert known.provenance == ("Where the bike comes from has not been checked.",)
    assert weigh(replace(GIVEN, price=Decimal(50)), known).word == "buy"


def test_without_an_inspection_the_work_is_a_guess(shop):
    known = ground(BikeFactory.create())
    assert known.work is None
    figures = weigh(replace(GIVEN, guess=Decimal(40)), known)
    assert figures.work_likely == 40
    assert [(job.low, job.high) for job in figures.jobs] == [(Decimal(24), Decimal(80))]
    assert "not been inspected" in " ".join(figures.cautions)
    assert "Only the must-dos" not in [way.name for way in figures.ways]


def test_three_facts_are_named_the_resale_price_among_them(bike):
    hidden_risk("rust")
    figures = weigh(GIVEN, ground(bike))
    assert len(figures.movers) == 3
    assert figures.movers[0].name == "Resale price"


def test_what_is_kept_reads_back_the_same(bike):
    hidden_risk("rust")
    figures = weigh(GIVEN, ground(bike))
    data = json.loads(json.dumps(kept(figures)))
    assert read_back(Figures, data) == figures


def test_what_was_kept_before_a_figure_was_known_reads_back_without_it(bike):
    figures = weigh(GIVEN, ground(bike))
    data = json.loads(json.dumps(kept(figures)))
    del data["provenance"]
    assert read_back(Figures, data) == replace(figures, provenance=())


def test_where_nothing_must_be_done_the_must_dos_say_so(bike, draft):
    draft.lines.update(importance="could")
    ways = {way.name: way for way in weigh(GIVEN, ground(bike)).ways}
    assert ways["Only the must-dos"].how.startswith("nothing must be done")
    assert ways["Only the must-dos"].minutes == 0


def test_the_resale_price_comes_from_comparables(bike):
    on_a_line(10, make=bike.make, model=bike.model)
    figures = weigh(GIVEN, ground(bike))
    assert "10 prices" in figures.resale_words


def test_pictures_have_title_description_and_a_table(bike):
    charts = weigh(GIVEN, ground(bike)).charts
    for chart in (charts.profit, charts.cost, charts.movers):
        assert "<title" in chart.svg
        assert "<desc" in chart.svg
        assert chart.rows
    assert "target" in charts.profit.svg


def test_the_same_figures_give_the_same_answer(bike):
    known = ground(bike)
    assert weigh(GIVEN, known) == weigh(GIVEN, known)
