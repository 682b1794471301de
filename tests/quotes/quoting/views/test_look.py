"""Pages to look at: list, revision, comparison, history; who sees costs; constant queries."""

import datetime as dt

import pytest
from django.urls import reverse

from quotes.quoting.models import Revision
from quotes.quoting.verbs.revise import revise
from quotes.quoting.verbs.send import send
from tests.asking import assert_only_who_may_sees_costs, queries_of
from tests.factories import quotes as made
from workshop.customers.models import Customer

pytestmark = pytest.mark.django_db

LIST = reverse("quoting:list")


def page_of(revision, name="revision"):
    return reverse(f"quoting:{name}", args=(revision.quote.number, revision.number))


def listed(client, **query):
    rows = client.get(LIST, query).context["table"].rows
    return [row.record.quote.number for row in rows]


def test_the_draft_shows_findings_lines_totals_and_what_to_do(office):
    draft = made.draft(by=office.person)
    page = office.get(page_of(draft)).content.decode()
    for text in (
        "Hub play point: hub play",
        "needs work",
        "should do",
        "Hub adjust work",
        "15 min at £48.00 an hour",
        "£26.88",
        "VAT at 20 % on £22.40",
        "18 min of work",
        reverse("quoting:send", args=("Q0001", 1)),
    ):
        assert text in page


def test_a_finding_to_be_priced_by_hand_is_named_at_the_top(office):
    draft = made.draft(made.fault("odd-noise"), by=office.person)
    page = office.get(page_of(draft)).content.decode()
    assert "Before this can be sent:" in page
    assert "Odd noise point, odd noise: to be priced by hand." in page
    assert f'href="#finding-{draft.findings.get().pk}"' in page


def test_a_deal_breaker_stands_at_the_top(office):
    crack = made.fault("crack", deal_breaker=True, default_judgement="unsafe")
    page = office.get(page_of(made.draft(crack, by=office.person))).content.decode()
    assert "Deal-breaker: no price is offered." in page


def test_an_unfinished_walk_is_said(office):
    draft = made.draft(made.fault("play", made.remedy("adjust")), by=office.person, finished=False)
    assert "The walk round the bike is not finished." in office.get(page_of(draft)).content.decode()


def test_a_sent_revision_offers_pdf_revising_and_the_answer_but_no_change(office):
    draft = made.draft(by=office.person)
    send(draft, office.person)
    page = office.get(page_of(draft)).content.decode()
    for name in ("printing:pdf", "quoting:revise", "acceptance:record"):
        assert reverse(name, args=("Q0001", 1)) in page
    for name in ("quoting:send", "quoting:details", "quoting:line_add", "quoting:reprice"):
        assert reverse(name, args=("Q0001", 1)) not in page


def test_a_superseded_revision_leads_to_the_newest(office):
    first = made.draft(by=office.person)
    send(first, office.person)
    send(revise(first.quote, office.person), office.person)
    assert "Go to revision 2" in office.get(page_of(first)).content.decode()


def test_the_shops_costs_are_shown_only_to_those_who_may(db):
    made.priced_shop()
    draft = made.draft()
    assert_only_who_may_sees_costs(page_of(draft), "costs us £5.25", "Costs us, net", "Margin")


def test_pages_take_as_many_queries_for_a_long_quote(office):
    few = made.draft(*made.many(2, name="few"), by=office.person)
    lots = made.draft(*made.many(25, name="lots"), by=office.person)
    for name in ("revision", "history", "send"):
        assert queries_of(office, page_of(few, name)) == queries_of(office, page_of(lots, name))
    sizes = []
    for draft in (few, lots):
        send(draft, office.person)
        second = revise(draft.quote, office.person)
        sizes.append(
            [
                queries_of(office, page_of(each, name))
                for each, name in ((draft, "revision"), (second, "compare"))
            ]
        )
    assert sizes[0] == sizes[1]


def test_the_list_takes_as_many_queries_for_many_quotes(office):
    fault = made.fault("play", made.remedy("adjust"))
    made.draft(fault, by=office.person)
    few = queries_of(office, LIST)
    for _ in range(8):
        made.draft(fault, by=office.person)
    assert queries_of(office, LIST) == few


def test_each_quote_is_listed_once_by_its_latest_revision(office):
    first = made.draft(by=office.person)
    send(first, office.person)
    revise(first.quote, office.person)
    (row,) = office.get(LIST).context["table"].rows
    assert row.record.number == 2


def test_quotes_are_found_by_number_bike_and_customer(office):
    fault = made.fault("play", made.remedy("adjust"))
    made.draft(fault, by=office.person, make="Harbourline", frame_number="HX 77")
    second = made.draft(fault, by=office.person)
    Customer.objects.filter(pk=second.quote.customer_id).update(name="Ada Moss")
    assert listed(office) == ["Q0002", "Q0001"]
    assert listed(office, q="q0002") == ["Q0002"]
    assert listed(office, q="harbour") == ["Q0001"]
    assert listed(office, q="HX 77") == ["Q0001"]
    assert listed(office, q="moss ada") == ["Q0002"]
    assert listed(office, q=second.quote.bike.stock_no) == ["Q0002"]
    assert listed(office, q="nobody") == []


def test_quotes_are_narrowed_by_state_though_a_newer_draft_is_there(office):
    fault = made.fault("play", made.remedy("adjust"))
    first = made.draft(fault, by=office.person)
    send(first, office.person)
    revise(first.quote, office.person)
    made.draft(fault, by=office.person)
    assert listed(office, state="sent") == ["Q0001"]
    assert listed(office, state="draft") == ["Q0002", "Q0001"]
    assert listed(office, state="refused") == []


def test_what_changed_is_shown_against_the_revision_the_customer_saw(office):
    first = made.draft(by=office.person)
    send(first, office.person)
    second = revise(first.quote, office.person)
    page = office.get(page_of(second, "compare")).content.decode()
    assert "Nothing changed" in page
    assert "Nothing to compare" in office.get(page_of(first, "compare")).content.decode()


def test_what_is_not_there_answers_404(office):
    draft = made.draft(by=office.person)
    for url in ("/quotes/Q0099/1/", "/quotes/Q0001/9/", "/quotes/Q0099/1/compare/"):
        assert office.get(url).status_code == 404
    for name, pk in (("choose", 10**6), ("line_change", 10**6)):
        url = reverse(f"quoting:{name}", args=(draft.quote.number, 1, pk))
        assert office.get(url).status_code == 404


def test_a_sent_revision_past_its_date_says_so(office):
    draft = made.draft(by=office.person)
    Revision.objects.filter(pk=draft.pk).update(
        state="sent",
        sent_at=draft.created_at,
        sent_by=office.person,
        valid_until=dt.date(2020, 1, 1),
    )
    assert "It stood until 1 January 2020." in office.get(page_of(draft)).content.decode()
    assert listed(office, state="past") == ["Q0001"]
    assert "1 Jan 2020 <strong>passed</strong>" in office.get(LIST).content.decode()


def test_a_quote_that_still_stands_is_not_among_those_whose_date_passed(office):
    send(made.draft(by=office.person), office.person)
    assert listed(office, state="past") == []
    assert "passed</strong>" not in office.get(LIST).content.decode()
