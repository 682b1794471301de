"""Fetching the PDF that was sent, and looking at a draft."""

from __future__ import annotations

import hashlib

import pytest
from django.urls import reverse

from quotes.quoting.models import SentDocument
from tests.factories.people import UserFactory
from tests.factories.printing import full_builder
from tests.pdfs import words_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk(client):
    """A browser in which the front desk is signed in."""
    client.force_login(UserFactory.create(desk=True))
    return client


def keep(revision, pdf=b"%PDF-1.7 as it was sent"):
    """Keep bytes as the document of a revision."""
    digest = hashlib.sha256(pdf).hexdigest()
    return SentDocument.objects.create(revision=revision, pdf=pdf, sha256=digest)


def url(name, revision):
    """Return the address of a revision's PDF."""
    return reverse(f"printing:{name}", args=[revision.quote.number, revision.number])


def test_the_bytes_that_were_sent_come_back_every_time(desk):
    revision = full_builder().send()
    kept = keep(revision)
    for _ in range(2):
        answer = desk.get(url("pdf", revision))
        assert answer.status_code == 200
        assert answer.content == b"%PDF-1.7 as it was sent"
        assert answer["Content-Type"] == "application/pdf"
        assert answer["Content-Disposition"] == 'inline; filename="Q0001-1.pdf"'
        assert answer["ETag"] == f'"{kept.sha256}"'
        assert "private" in answer["Cache-Control"]


def test_what_the_browser_has_already_is_not_sent_again(desk, django_assert_max_num_queries):
    revision = full_builder().send()
    kept = keep(revision)
    answer = desk.get(url("pdf", revision), headers={"If-None-Match": f'"{kept.sha256}"'})
    assert answer.status_code == 304
    assert answer.content == b""
    assert answer["ETag"] == f'"{kept.sha256}"'


def test_a_draft_has_no_pdf(desk):
    revision = full_builder().revision
    assert desk.get(url("pdf", revision)).status_code == 404
    assert desk.get("/quotes/Q9999/1/quote.pdf").status_code == 404


def test_a_draft_can_be_looked_at(desk):
    revision = full_builder().revision
    answer = desk.get(url("preview", revision))
    assert answer["Content-Disposition"] == 'inline; filename="Q0001-1-draft.pdf"'
    assert "no-store" in answer["Cache-Control"]
    assert "DRAFT: nothing is offered yet" in words_of(answer.content)
    assert not SentDocument.objects.exists()


def test_the_preview_of_what_was_sent_is_what_was_sent(desk):
    revision = full_builder().send()
    answer = desk.get(url("preview", revision))
    assert answer.status_code == 302
    assert answer["Location"] == url("pdf", revision)


def test_there_is_no_preview_of_nothing(desk):
    assert desk.get("/quotes/Q9999/1/preview.pdf").status_code == 404


def test_a_browser_may_show_the_pdf_in_its_viewer(desk):
    answer = desk.get(url("preview", full_builder().revision))
    assert "object-src 'self'" in answer["Content-Security-Policy"]


def test_a_mechanic_is_refused(client):
    revision = full_builder().send()
    keep(revision)
    client.force_login(UserFactory.create())
    assert client.get(url("pdf", revision)).status_code == 403
    assert client.get(url("preview", revision)).status_code == 403
