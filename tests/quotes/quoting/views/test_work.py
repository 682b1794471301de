"""Working on a draft in the browser, with and without a script; what is typed wrong."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.parts.models import Part
from quotes.quoting.models import Line, LineChange, Quote, Revision
from quotes.quoting.verbs.send import send
from tests.factories import quotes as made
from tests.factories.people import sign_in
from workshop.labour.models import LabourRate

pytestmark = pytest.mark.django_db

HTMX = {"HX-Request": "true"}


@pytest.fixture
def draft(office):
    """A draft with one finding for which there are two remedies."""
    play = made.fault(
        "play",
        made.remedy("adjust", part="cones", access="wheel-out"),
        made.remedy("renew", minutes="45"),
    )
    return made.draft(play, by=office.person)


def url(draft, name, *pk):
    return reverse(f"quoting:{name}", args=(draft.quote.number, draft.number, *pk))


def chosen(row, **more):
    return {"way": row.remedy_id or "by-hand", "importance": "should"} | more


def by_hand(**more):
    return {
        "description": "Fetching the bike",
        "finding": "",
        "quantity": "1",
        "unit": "pc",
        "unit_price_net": "10.00",
        "vat_code": "standard",
        "importance": "should",
        "cost_net": "",
        "reason": "agreed by phone",
    } | more


def test_a_quote_is_started_and_shown(office):
    inspection = made.inspected(made.fault("play", made.remedy("adjust")))
    start = reverse("quoting:start", args=(inspection.pk,))
    response = office.post(start)
    assert response.headers["Location"] == "/quotes/Q0001/1/"
    again = office.post(start, follow=True)
    assert "Q0001 was made from this inspection." in again.content.decode()
    assert Quote.objects.count() == 1


def test_without_a_rate_no_quote_is_started_and_the_reason_is_said(office):
    LabourRate.objects.all().delete()
    inspection = made.inspected(made.fault("play", made.remedy("adjust")))
    response = office.post(reverse("quoting:start", args=(inspection.pk,)), follow=True)
    assert "No labour rate for the band" in response.content.decode()
    assert not Quote.objects.exists()


def test_without_a_script_a_remedy_is_chosen_on_a_page_of_its_own(office, draft):
    row = draft.findings.get()
    choose = url(draft, "choose", row.pk)
    page = office.get(choose).content.decode()
    assert "<!doctype html>" in page
    assert "Renew: +£16.32 on the total" in page
    assert "Adjust: as now" in page
    renew = row.finding.fault.options.get(remedy__code="renew").remedy
    response = office.post(choose, chosen(row, way=renew.pk))
    assert response.headers["Location"] == f"/quotes/Q0001/1/#finding-{row.pk}"
    row.refresh_from_db()
    assert row.remedy == renew


def test_with_a_script_the_form_and_then_the_body_are_swapped_in_place(office, draft):
    row = draft.findings.get()
    choose = url(draft, "choose", row.pk)
    form = office.get(choose, headers=HTMX).content.decode()
    assert "<!doctype html>" not in form
    assert f'hx-post="{choose}"' in form
    response = office.post(choose, chosen(row, importance="must", reason="hill"), headers=HTMX)
    body = response.content.decode()
    assert body.lstrip().startswith('<div id="quote-body"')
    assert 'id="quote-foot" hx-swap-oob="true"' in body
    assert 'id="messages" class="notices" role="status" hx-swap-oob="true"' in body
    assert f'id="finding-{row.pk}" tabindex="-1" autofocus' in body


def test_errors_in_place_take_the_panel_not_the_body(office, draft):
    row = draft.findings.get()
    response = office.post(
        url(draft, "choose", row.pk), chosen(row, importance="must"), headers=HTMX
    )
    assert response.status_code == 422
    assert response.headers["HX-Retarget"] == f"#panel-finding-{row.pk}"
    assert "As judged, it should do. Say why you differ." in response.content.decode()


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"way": "no-work"}, "the customer reads it on the quote"),
        ({"way": "999999"}, "Select a valid choice"),
        ({"way": "x"}, "Select a valid choice"),
        ({"way": ""}, "required"),
        ({"importance": "whenever"}, "Select a valid choice"),
    ],
)
def test_a_choice_that_is_not_whole_is_refused(office, draft, given, says):
    row = draft.findings.get()
    response = office.post(url(draft, "choose", row.pk), chosen(row, **given))
    assert response.status_code == 422
    assert says in response.content.decode()
    before = row.remedy_id
    row.refresh_from_db()
    assert (row.remedy_id, row.importance) == (before, "should")


def test_no_work_is_offered_with_a_reason(office, draft):
    row = draft.findings.get()
    given = chosen(row, way="no-work", no_work_reason="cosmetic only")
    office.post(url(draft, "choose", row.pk), given)
    row.refresh_from_db()
    assert row.no_work_reason == "cosmetic only"
    assert "cosmetic only" in office.get(url(draft, "revision")).content.decode()


def test_a_line_is_added_for_a_finding_or_the_whole_bike(office, draft):
    row = draft.findings.get()
    add = url(draft, "line_add")
    assert (
        f'<option value="{row.pk}" selected>'
        in office.get(f"{add}?finding={row.pk}").content.decode()
    )
    office.post(add, by_hand(finding=row.pk))
    office.post(add, by_hand(description="Goodwill", unit_price_net="-5", cost_net="0"))
    found = {line.description: line for line in draft.lines.filter(kind="hand")}
    assert found["Fetching the bike"].findings.get() == row
    assert found["Goodwill"].gross == Decimal("-6.00")


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"unit_price_net": "ten"}, "“ten”"),
        ({"unit_price_net": "1,250"}, "can be read as"),
        ({"unit_price_net": "$10"}, "another currency"),
        ({"unit_price_net": "99999999999"}, "99999999999"),
        ({"quantity": "many"}, "is not a number"),
        ({"quantity": "-1"}, "greater than or equal to 0"),
        ({"quantity": "0"}, "more than nothing"),
        ({"quantity": "1e9"}, "less than or equal"),
        ({"quantity": "NaN"}, "is not a number"),
        ({"cost_net": "-1"}, "below zero"),
        ({"reason": ""}, "required"),
        ({"reason": "   "}, "required"),
        ({"description": ""}, "required"),
        ({"description": "x" * 201}, "at most 200"),
        ({"vat_code": "luxury"}, "Select a valid choice"),
        ({"finding": "999999"}, "Select a valid choice"),
    ],
)
def test_a_line_typed_wrong_is_refused_with_what_is_wrong(office, draft, given, says):
    response = office.post(url(draft, "line_add"), by_hand(**given))
    assert response.status_code == 422
    assert says in response.content.decode()
    assert not Line.objects.filter(kind="hand").exists()


def test_a_comma_is_a_decimal_point_in_quantities_and_prices(office, draft):
    office.post(url(draft, "line_add"), by_hand(quantity="1,5", unit_price_net="£2,50"))
    assert draft.lines.get(kind="hand").net == Decimal("3.75")


def test_the_cost_is_asked_only_of_those_who_see_costs(client, draft):
    sign_in(client, desk=True)
    assert "What it costs the shop" not in client.get(url(draft, "line_add")).content.decode()
    client.post(url(draft, "line_add"), by_hand(cost_net="3.00"))
    assert draft.lines.get(kind="hand").cost_net == 0


def test_minutes_are_changed_left_out_and_restored(office, draft):
    line = draft.lines.get(kind="labour")
    change = url(draft, "line_change", line.pk)
    page = office.get(change).content.decode()
    assert "Minutes" in page
    assert "Price an hour, net" in page
    shown = {"quantity": "15", "unit_price_net": "48.00"}
    office.post(change, shown | {"quantity": "20", "reason": "stiff"})
    kept = LineChange.objects.get()
    assert (kept.quantity, kept.unit_price_net) == (Decimal(20), None)
    office.post(change, shown | {"quantity": "20", "leave_out": "on", "reason": "later"})
    line.refresh_from_db()
    assert line.left_out
    page = office.get(url(draft, "revision")).content.decode()
    assert "left out:</strong> later" in page
    office.post(url(draft, "line_restore", line.pk))
    line.refresh_from_db()
    assert (line.left_out, line.quantity) == (False, 15)
    assert not LineChange.objects.exists()


def test_what_is_left_as_shown_follows_the_catalogue_later(office, draft):
    line = draft.lines.get(kind="part")
    office.post(
        url(draft, "line_change", line.pk),
        {"quantity": "2", "unit_price_net": "8.00", "reason": "both sides"},
    )
    Part.objects.filter(code="cones").update(price_net=Decimal("9.00"))
    office.post(url(draft, "reprice"))
    line.refresh_from_db()
    assert (line.quantity, line.unit_price_net) == (2, 9)


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({}, "Nothing is changed yet"),
        ({"quantity": "20", "reason": ""}, "required"),
        ({"quantity": "-3"}, "greater than or equal to 0"),
        ({"quantity": "soon"}, "is not a number"),
        ({"unit_price_net": "-3"}, "below zero"),
        ({"unit_price_net": "dear"}, "“dear”"),
    ],
)
def test_a_change_typed_wrong_is_refused(office, draft, given, says):
    line = draft.lines.get(kind="labour")
    typed = {"quantity": "15", "unit_price_net": "48.00", "reason": "x"} | given
    response = office.post(url(draft, "line_change", line.pk), typed)
    assert response.status_code == 422
    assert says in response.content.decode()
    assert not LineChange.objects.exists()


def test_a_line_by_hand_is_changed_and_removed(office, draft):
    office.post(url(draft, "line_add"), by_hand())
    line = draft.lines.get(kind="hand")
    change = url(draft, "line_change", line.pk)
    assert "Remove this line" in office.get(change).content.decode()
    office.post(change, by_hand(unit_price_net="12.00"))
    line.refresh_from_db()
    assert line.net == 12
    office.post(url(draft, "line_remove", line.pk))
    assert not draft.lines.filter(kind="hand").exists()


def test_a_line_that_was_worked_out_cannot_be_removed(office, draft):
    line = draft.lines.get(kind="part")
    response = office.post(url(draft, "line_remove", line.pk), follow=True)
    assert "leave it out instead" in response.content.decode()
    assert Line.objects.filter(pk=line.pk).exists()


def test_details_are_kept(office, draft):
    office.post(url(draft, "details"), {"valid_until": "", "message": "We collect it."})
    draft.refresh_from_db()
    assert draft.message == "We collect it."


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ("2020-01-01", "1 January 2020 is past"),
        ("2999-01-01", "a year at most"),
        ("soon", "valid date"),
    ],
)
def test_a_date_that_no_quote_can_stand_until_is_refused(office, draft, given, says):
    response = office.post(url(draft, "details"), {"valid_until": given, "message": "x"})
    assert response.status_code == 422
    assert says in response.content.decode()
    draft.refresh_from_db()
    assert (draft.valid_until, draft.message) == (None, "")


def test_sending_asks_once_more_and_then_freezes(office, draft):
    page = office.get(url(draft, "send")).content.decode()
    assert "Sending freezes this revision" in page
    response = office.post(url(draft, "send"), follow=True)
    assert "is sent: its PDF is kept" in response.content.decode()
    assert Revision.objects.get().state == "sent"


def test_sending_what_is_not_ready_says_why_and_changes_nothing(office):
    draft = made.draft(made.fault("odd-noise"), by=office.person)
    assert "Send it</button>" not in office.get(url(draft, "send")).content.decode()
    response = office.post(url(draft, "send"))
    assert response.status_code == 422
    assert "to be priced by hand" in response.content.decode()
    assert Revision.objects.get().state == "draft"


def test_an_unfinished_walk_is_sent_only_with_a_tick(office):
    draft = made.draft(made.fault("play", made.remedy("adjust")), by=office.person, finished=False)
    response = office.post(url(draft, "send"))
    assert response.status_code == 422
    assert "The walk is not finished" in response.content.decode()
    office.post(url(draft, "send"), {"unfinished_ok": "on"})
    assert Revision.objects.get().state == "sent"


def test_revising_leads_to_the_new_draft(office, draft):
    send(draft, office.person)
    assert office.post(url(draft, "revise")).headers["Location"] == "/quotes/Q0001/2/"
    assert office.post(url(draft, "revise")).headers["Location"] == "/quotes/Q0001/2/"


@pytest.mark.parametrize("name", ["line_add", "details", "send"])
def test_a_sent_revision_is_not_changed_and_says_why(office, draft, name):
    send(draft, office.person)
    for ask in (office.get, office.post):
        response = ask(url(draft, name), follow=True)
        assert "is sent and stays as it is. Make a new revision" in response.content.decode()
    in_place = office.post(url(draft, name), headers=HTMX)
    assert in_place.headers["HX-Redirect"] == "/quotes/Q0001/1/"


@pytest.mark.parametrize("name", ["reprice", "revise"])
def test_actions_are_not_done_by_looking(office, draft, name):
    if name == "revise":
        send(draft, office.person)
    assert office.get(url(draft, name)).status_code == 403
