"""Pricing: what holds for any jobs, book, changes and lines by hand."""

from decimal import Decimal
from fractions import Fraction
from math import floor

from hypothesis import given
from hypothesis import strategies as st

from inventory.core.money import minor_unit
from quotes.core.lines import Kind
from quotes.core.pricing import labour_minutes, price
from tests.quotes.core.making import cases, lines_by_key
from workshop.core.judgement import Importance


def priced(case, jobs=None):
    return price(
        case.jobs if jobs is None else jobs,
        case.book,
        changes=case.changes,
        hand_lines=case.hand_lines,
    )


def half_up(exact, unit):
    """Round an exact fraction to a unit, half of it away from zero, without ``decimal``."""
    steps = floor(abs(exact) / Fraction(unit) + Fraction(1, 2))
    return (steps if exact >= 0 else -steps) * Fraction(unit)


def total(lines, field):
    return sum((getattr(line, field) for line in lines), Decimal(0))


@given(cases())
def test_the_totals_are_the_sums_of_the_printed_lines(case):
    pricing = priced(case)
    printed = [line for line in pricing.lines if not line.left_out]
    whole = pricing.totals.whole
    assert whole.net == total(printed, "net")
    assert whole.vat == total(printed, "vat")
    assert whole.gross == total(printed, "gross") == whole.net + whole.vat


@given(cases())
def test_the_importances_add_up_to_the_whole(case):
    pricing = priced(case)
    parts = pricing.totals.by_importance
    assert list(parts) == list(Importance)
    for field in ("net", "vat", "gross"):
        assert total(parts.values(), field) == getattr(pricing.totals.whole, field)
    for importance, sums in parts.items():
        printed = [x for x in pricing.lines if x.importance == importance and not x.left_out]
        assert sums.gross == total(printed, "gross")


@given(cases())
def test_the_vat_rates_add_up_to_the_whole(case):
    pricing = priced(case)
    rates = pricing.totals.by_rate
    if case.book.registered:
        assert total(rates, "net") == pricing.totals.whole.net
        assert total(rates, "vat") == pricing.totals.whole.vat
        assert [each.rate for each in rates] == sorted({x.rate for x in rates}, reverse=True)
    else:
        assert rates == ()
        assert pricing.totals.whole.vat == 0


@given(cases())
def test_every_line_is_quantity_times_price_rounded_once(case):
    unit = minor_unit(case.book.currency)
    for line in priced(case).lines:
        exact = Fraction(line.quantity) * Fraction(line.unit_price_net)
        if line.kind in (Kind.LABOUR, Kind.ACCESS):
            exact /= 60
        assert line.net == half_up(exact, unit)
        assert line.vat == half_up(Fraction(line.net) * Fraction(line.vat_rate), unit)
        assert line.gross == line.net + line.vat


@given(cases(changed=False))
def test_shared_access_is_charged_once_and_none_is_lost(case):
    pricing = priced(case)
    charged = [line.key for line in pricing.lines if line.kind == Kind.ACCESS]
    assert sorted(charged) == sorted(f"access:{code}" for code in case.steps_needed)


@given(cases(changed=False))
def test_every_operation_that_is_not_needless_is_charged_once(case):
    charged = [line.key for line in priced(case).lines if line.kind == Kind.LABOUR]
    assert sorted(charged) == sorted(f"labour:{code}" for code in case.kept)


@given(cases(changed=False))
def test_the_minutes_are_those_added_up_by_other_means(case):
    times = {}
    for use in (use for job in case.jobs for use in job.operations):
        code = use.operation.code
        times[code] = max(use.times, times.get(code, 0))
    labour = sum(case.chosen[code].minutes * times[code] for code in case.kept)
    access = sum(case.book.steps[code].minutes for code in case.steps_needed)
    assert labour_minutes(priced(case).lines) == labour + access


@given(cases(), st.randoms())
def test_the_order_of_the_jobs_changes_neither_labour_nor_the_total(case, random):
    shuffled = list(case.jobs)
    random.shuffle(shuffled)
    one, other = priced(case), priced(case, shuffled)
    assert labour_minutes(one.lines) == labour_minutes(other.lines)
    assert one.totals == other.totals
    assert set(lines_by_key(one)) == set(lines_by_key(other))


@given(cases())
def test_no_finding_is_dropped_in_silence(case):
    pricing = priced(case)
    seen = {finding for line in pricing.lines for finding in line.findings}
    for job in case.jobs:
        accounted = [job.finding in seen, job.finding in pricing.covered]
        assert any(accounted) or job.finding in pricing.unpriced


@given(cases())
def test_every_line_is_traced_to_a_finding_or_entered_by_hand(case):
    known = {job.finding for job in case.jobs}
    for line in priced(case).lines:
        assert line.kind == Kind.HAND or line.findings
        assert line.kind == Kind.HAND or set(line.findings) <= known


@given(cases())
def test_no_key_comes_twice(case):
    pricing = priced(case)
    assert len(lines_by_key(pricing)) == len(pricing.lines)


@given(cases())
def test_lines_come_in_walk_order_with_sundries_last(case):
    place = {job.finding: index for index, job in enumerate(case.jobs)}
    lines = priced(case).lines
    walked = [line for line in lines if line.kind != Kind.SUNDRY]
    firsts = [min((place[x] for x in line.findings if x in place), default=99) for line in walked]
    assert firsts == sorted(firsts)
    assert all(line.kind == Kind.SUNDRY for line in lines[len(walked) :])


@given(cases())
def test_only_what_a_change_or_work_left_out_explains_is_left_out(case):
    for line in priced(case).lines:
        if line.left_out:
            assert line.reason
        change = case.changes.get(line.key)
        if change and change.leave_out:
            assert line.left_out


@given(cases())
def test_every_change_is_made_or_reported(case):
    pricing = priced(case)
    lines = lines_by_key(pricing)
    assert set(case.changes) == set(pricing.stale_changes) | (case.changes.keys() & lines.keys())
    for key, change in case.changes.items():
        if key in lines and change.quantity is not None:
            assert lines[key].quantity == change.quantity
        if key in lines and change.unit_price_net is not None:
            assert lines[key].unit_price_net == change.unit_price_net


@given(cases())
def test_an_access_step_is_there_exactly_while_work_needs_it(case):
    lines = lines_by_key(priced(case))
    for key, line in lines.items():
        if line.kind != Kind.ACCESS or case.changes.get(key):
            continue
        labour = [x for x in lines.values() if x.kind == Kind.LABOUR and not x.left_out]
        sharing = [x for x in labour if set(x.findings) & set(line.findings)]
        assert line.left_out or sharing


@given(cases())
def test_what_a_line_costs_the_shop_is_never_below_zero(case):
    assert all(line.cost_net >= 0 for line in priced(case).lines)
