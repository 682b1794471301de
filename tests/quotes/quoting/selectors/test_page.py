"""A revision's page: each line in one place, constant queries, costs, what stands in the way."""

from decimal import Decimal

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from quotes.core.lines import Kind
from quotes.quoting.models import Line
from quotes.quoting.selectors import (
    jobs_of,
    refurbishment_cost,
    revision_for_page,
    worksheet_of,
)
from quotes.quoting.selectors.blocking import reasons_not_to_send
from quotes.quoting.selectors.ways import ways_for
from quotes.quoting.verbs.change_line import change_line
from quotes.quoting.verbs.choose import choose
from quotes.quoting.verbs.send import send
from tests.factories import quotes as made
from workshop.shop.selectors import current_shop

pytestmark = pytest.mark.django_db


def test_each_line_stands_in_one_place(manager):
    made.priced_shop(sundries_share=Decimal("0.1"))
    both = made.remedy("same-work")
    faults = [*made.many(3), made.fault("one", both), made.fault("two", both)]
    page = revision_for_page(made.draft(*faults, by=manager).pk)
    placed = [view.line.key for finding in page.findings for view in finding.lines]
    shown = [*placed, *(view.line.key for view in (*page.shared, *page.further))]
    assert sorted(shown) == sorted(line.key for line in page.lines)
    assert len(shown) == len(set(shown))


def test_access_needed_by_several_is_shared_and_names_them(manager):
    made.priced_shop()
    page = revision_for_page(made.draft(*made.many(3), by=manager).pk)
    (shared,) = page.shared
    assert (shared.line.kind, shared.numbers) == (Kind.ACCESS, (1, 2, 3))


def test_work_done_once_for_two_findings_stands_with_the_first(manager):
    made.priced_shop()
    both = made.remedy("same-work")
    page = revision_for_page(
        made.draft(made.fault("one", both), made.fault("two", both), by=manager).pk
    )
    first, second = page.findings
    assert [view.numbers for view in first.lines] == [(1, 2)]
    assert (second.lines, second.elsewhere, second.by_hand) == ((), (1,), False)


def test_a_finding_is_by_hand_only_while_nothing_is_said_about_it(manager):
    made.priced_shop()
    draft = made.draft(made.fault("noise"), made.fault("scratch"), by=manager)
    assert [view.row.title for view in revision_for_page(draft.pk).by_hand] == ["Noise", "Scratch"]
    row = made.row_of(draft, "scratch")
    choose(row, remedy=None, importance="should", no_work_reason="cosmetic", by=manager)
    assert [view.row.title for view in revision_for_page(draft.pk).by_hand] == ["Noise"]


def test_costs_count_only_what_is_offered(draft, manager):
    page = revision_for_page(draft.pk)
    assert page.cost_net == Decimal("1.05") + Decimal("5.25") + Decimal("4.00")
    assert page.margin_net == Decimal("22.40") - Decimal("10.30")
    change_line(draft.lines.get(kind="part"), leave_out=True, reason="has one", by=manager)
    assert refurbishment_cost(draft) == Decimal("6.30")
    assert revision_for_page(draft.pk).cost_net == Decimal("6.30")


def test_totals_of_the_page_are_those_of_the_revision(draft):
    page = revision_for_page(draft.pk)
    whole = page.totals.whole
    assert (whole.net, whole.vat, whole.gross) == (draft.net, draft.vat, draft.gross)
    assert page.minutes == 18


def test_the_drawing_marks_each_checkpoint_and_leads_to_its_finding(draft):
    page = revision_for_page(draft.pk)
    (mark,) = page.drawing.marks
    assert (mark.number, mark.url) == ("1", f"#{page.findings[0].anchor}")
    assert mark.judgement == "needs_work"


def test_jobs_name_operations_and_parts(draft):
    (job,) = jobs_of(draft)
    assert [use.operation.code for use in job.operations] == ["hub-adjust-work"]
    assert [part.code for part in job.parts] == ["hub-cones"]


def test_ways_say_what_each_does_to_the_whole_total(manager):
    made.priced_shop()
    dear = made.remedy("renew", minutes="45", access="wheel-out")
    play = made.fault("play", made.remedy("adjust", minutes="15", access="wheel-out"), dear)
    other = made.fault("other", made.remedy("cure-other", access="wheel-out"))
    row = made.row_of(made.draft(play, other, by=manager), "play")
    ways = {way.value: way for way in ways_for(row, current_shop())}
    adjust, renew = ways[str(row.remedy_id)], ways[str(dear.pk)]
    assert (adjust.current, adjust.difference) == (True, 0)
    assert renew.difference == Decimal("28.80")  # 30 min more with VAT; access is shared
    assert ways["no-work"].difference == Decimal("-14.40")  # the other still needs the wheel out


def test_a_remedy_meant_for_worse_findings_says_so(manager):
    made.priced_shop()
    play = made.fault("play", made.remedy("adjust"), made.remedy("renew"))
    play.options.filter(rank=2).update(from_judgement="unsafe")
    row = made.draft(play, by=manager).findings.get()
    notes = [way.note for way in ways_for(row, current_shop())]
    assert notes[:2] == ["", "meant for “unsafe”"]


def test_remedies_for_other_kinds_of_bike_are_not_counted_as_ways(manager):
    made.priced_shop()
    disc, rim = made.remedy("disc"), made.remedy("rim")
    play = made.fault("play", made.remedy("adjust"), disc, rim)
    type(disc).objects.filter(pk=disc.pk).update(brakes=["disc"])
    draft = made.draft(play, by=manager, brake="rim")
    ways = ways_for(draft.findings.get(), current_shop())
    assert str(disc.pk) not in {way.value for way in ways}
    assert revision_for_page(draft.pk).findings[0].other_ways == 1


def count(act):
    with CaptureQueriesContext(connection) as queries:
        act()
    return len(queries)


def test_queries_do_not_grow_with_the_quote(manager):
    made.priced_shop()
    few = made.draft(*made.many(2, name="few"), by=manager)
    lots = made.draft(*made.many(25, name="lots"), by=manager)
    shop = current_shop()
    for read in (
        lambda draft: revision_for_page(draft.pk, shop),
        lambda draft: reasons_not_to_send(draft, shop),
        lambda draft: ways_for(draft.findings.select_related("finding").first(), shop),
        lambda draft: worksheet_of(draft, shop=shop).price(),
        jobs_of,
    ):
        counts = [count(lambda read=read, draft=draft: read(draft)) for draft in (few, lots)]
        assert counts[0] == counts[1]


def test_a_quote_of_five_hundred_lines_is_priced_and_shown(manager):
    made.priced_shop()
    draft = made.draft(*made.many(250), by=manager)
    assert Line.objects.filter(revision=draft).count() == 501
    page = revision_for_page(draft.pk)
    assert len(page.shared[0].numbers) == 250
    assert page.totals.whole.gross == draft.gross
    assert reasons_not_to_send(draft, current_shop()) == []


def test_a_sent_page_asks_nothing_of_the_catalogue(draft, manager):
    send(draft, manager)
    assert revision_for_page(draft.pk).findings[0].other_ways == 0
