"""The answer at the counter, with and without a script."""

import datetime as dt

import pytest
from django.urls import reverse

from quotes.acceptance.models import Acceptance
from quotes.quoting.verbs.revise import revise
from quotes.quoting.verbs.send import send
from tests.asking import queries_of
from tests.factories import quotes as made

pytestmark = pytest.mark.django_db

HTMX = {"HX-Request": "true"}
WHO = {"decided_by": "Ada Moss", "note": ""}


def record(revision):
    return reverse("acceptance:record", args=(revision.quote.number, revision.number))


def detail(revision):
    return reverse("acceptance:detail", args=(revision.quote.number, revision.number))


def ticked(response):
    return response.context["ticked"]


def test_nothing_is_ticked_at_first_and_the_customers_name_is_offered(office, sent):
    response = office.get(record(sent))
    assert ticked(response) == set()
    assert f'value="{sent.quote.customer.name}"' in response.content.decode()
    assert "Must be done, and not accepted:" in response.content.decode()


def test_without_a_script_a_button_works_out_the_total_and_saves_nothing(office, sent, pk):
    typed = WHO | {"do": "total", "line": [pk["labour:rim-cure-work"]]}
    response = office.post(record(sent), typed)
    page = response.content.decode()
    assert "£34.56" in page  # 24.00 of labour, 2.40 access, 2.40 sundries, with VAT
    assert ticked(response) == {pk["labour:rim-cure-work"]}
    assert 'value="Ada Moss"' in page
    assert not Acceptance.objects.exists()


def test_with_a_script_each_tick_swaps_the_total(office, sent, pk):
    typed = WHO | {"line": [pk["labour:rim-cure-work"]]}
    page = office.post(record(sent), typed, headers=HTMX).content.decode()
    assert page.lstrip().startswith('<section class="sheet" id="answer-total"')
    assert 'id="answer-foot" hx-swap-oob="true"' in page
    assert page.count("£34.56") == 2


@pytest.mark.parametrize(("word", "count"), [("all", 5), ("should", 3), ("must", 2), ("none", 0)])
def test_shortcuts_tick_lines_and_save_nothing(office, sent, word, count):
    assert len(ticked(office.post(record(sent), WHO | {"do": word}))) == count
    in_place = office.post(record(sent), WHO | {"do": word}, headers=HTMX).content.decode()
    assert 'id="answer"' in in_place
    assert "<!doctype html>" not in in_place
    assert not Acceptance.objects.exists()


def test_a_yes_to_everything_is_recorded_and_shown(office, sent, pk):
    lines = [pk[key] for key in pk if key.startswith(("labour", "part"))]
    response = office.post(record(sent), WHO | {"do": "record", "line": lines}, follow=True)
    assert response.redirect_chain == [(detail(sent), 302)]
    page = response.content.decode()
    assert "The answer is recorded." in page
    assert "Ada Moss" in page
    assert "Refused" not in page
    assert Acceptance.objects.get().recorded_by == office.person


def test_a_refused_must_asks_for_a_tick_and_names_what(office, sent, pk):
    typed = WHO | {"do": "record", "line": [pk["labour:rim-cure-work"]]}
    response = office.post(record(sent), typed)
    assert response.status_code == 422
    page = response.content.decode()
    assert "This must be done, and is refused: Hub cure work; Cones." in page
    assert 'name="must_refused_ok"' in page
    assert ticked(response) == {pk["labour:rim-cure-work"]}
    office.post(record(sent), typed | {"must_refused_ok": "on"})
    sent.refresh_from_db()
    assert sent.state == "part_accepted"
    assert "Must be done, and refused:" in office.get(detail(sent)).content.decode()


def test_an_expired_quote_warns_and_asks_for_a_tick(office, sent, pk, monkeypatch):
    later = sent.valid_until + dt.timedelta(days=1)
    monkeypatch.setattr("django.utils.timezone.localdate", lambda: later)
    assert "You need not stand by it." in office.get(record(sent)).content.decode()
    lines = [pk[key] for key in pk if key.startswith(("labour", "part"))]
    typed = WHO | {"do": "record", "line": lines}
    assert office.post(record(sent), typed).status_code == 422
    assert office.post(record(sent), typed | {"expired_ok": "on"}).status_code == 302


@pytest.mark.parametrize(
    "typed",
    [
        {"decided_by": ""},
        {"decided_by": "   "},
        {"decided_by": "x" * 121},
        {"note": "x" * 501},
        {"line": ["999999999999999999999999"]},
    ],
)
def test_an_answer_typed_wrong_is_refused_and_not_saved(office, sent, typed):
    given = WHO | {"do": "record", "must_refused_ok": "on"} | typed
    assert office.post(record(sent), given).status_code == 422
    assert not Acceptance.objects.exists()


@pytest.mark.parametrize("line", ["x", "-1", "", "¹", "1.5"])
def test_what_is_no_line_at_all_is_passed_over(office, sent, line):
    response = office.post(record(sent), WHO | {"do": "total", "line": [line]})
    assert (response.status_code, ticked(response)) == (200, set())


def test_a_second_submission_leads_to_the_answer_that_was_recorded(office, sent):
    typed = WHO | {"do": "record", "must_refused_ok": "on"}
    office.post(record(sent), typed)
    response = office.post(record(sent), typed, follow=True)
    assert "has been recorded already" in response.content.decode()
    assert Acceptance.objects.count() == 1


def test_a_superseded_revision_is_refused_with_the_reason(office, sent, manager):
    send(revise(sent.quote, manager), manager)
    for ask in (office.get, office.post):
        page = ask(record(sent), follow=True).content.decode()
        assert "can&#x27;t be answered. A newer revision stands in its place." in page


def test_an_answer_in_arabic_is_kept_as_it_is_written(office, sent):
    office.post(record(sent), {"decided_by": "ليلى 🚲", "do": "record", "must_refused_ok": "on"})
    assert Acceptance.objects.get().decided_by == "ليلى 🚲"
    assert "<bdi>ليلى 🚲</bdi>" in office.get(detail(sent)).content.decode()


def test_there_is_no_answer_to_look_at_before_it_is_given(office, sent):
    assert office.get(detail(sent)).status_code == 404


def test_pages_take_as_many_queries_for_a_long_quote(office, manager, quick_pdf):
    made.priced_shop()
    counts = []
    for size in (2, 20):
        draft = made.draft(*made.many(size, name=f"of-{size}"), by=manager)
        send(draft, manager)
        asked = queries_of(office, record(draft))
        office.post(record(draft), WHO | {"do": "record", "must_refused_ok": "on"})
        counts.append((asked, queries_of(office, detail(draft))))
    assert counts[0] == counts[1]
