"""Printing ahead: the page is made with nothing held, and is that of the run that is kept."""

import pytest
from django.db import connection, transaction

from inventory.numbering.models import Counter
from inventory.numbering.verbs.next_number import next_number
from inventory.paper import press
from inventory.paper.ahead import RUNS, printed_ahead
from inventory.paper.press import pdf_of


@pytest.fixture
def pages(monkeypatch):
    """Set no type: note each page that is printed, and whether a transaction was open."""
    printed = []

    def note(page):
        printed.append((page.html, connection.in_atomic_block))
        return f"%PDF of {page.html}".encode()

    monkeypatch.setattr(press, "printed", note)
    return printed


@printed_ahead
@transaction.atomic
def numbered_page(words="page", photos=None):
    """Take a number and print it."""
    return pdf_of(f"{words} {next_number('page', 'N', 1)}", photos)


@pytest.mark.django_db(transaction=True)
def test_a_page_is_printed_once_with_no_transaction_open_and_no_number_is_spent(pages):
    assert numbered_page() == b"%PDF of page N1"
    assert numbered_page() == b"%PDF of page N2"
    assert pages == [("page N1", False), ("page N2", False)]
    assert Counter.objects.get().value == 2


@pytest.mark.django_db(transaction=True)
def test_what_changed_in_between_is_printed_as_it_is_then(monkeypatch, pages):
    note, others = press.printed, []

    def note_and_meddle(page):
        if not others:
            with transaction.atomic():
                others.append(next_number("page", "N", 1))
        return note(page)

    monkeypatch.setattr(press, "printed", note_and_meddle)
    assert numbered_page() == b"%PDF of page N2"
    assert others == ["N1"]
    assert pages == [("page N1", False), ("page N2", False)]


@pytest.mark.django_db(transaction=True)
def test_a_page_that_is_never_twice_the_same_is_printed_as_it_comes(pages):
    told = iter("abcdefgh")

    @printed_ahead
    @transaction.atomic
    def restless():
        return pdf_of(next(told))

    assert restless() == f"%PDF of {'abcdefgh'[RUNS]}".encode()
    assert [held for _, held in pages] == [False] * RUNS + [True]


@pytest.mark.django_db(transaction=True)
def test_the_photos_are_part_of_the_page(pages):
    photos = iter([{"photo:1": b"old"}, {"photo:1": b"new"}, {"photo:1": b"new"}])

    @printed_ahead
    @transaction.atomic
    def with_photo():
        return pdf_of("page", next(photos))

    with_photo()
    assert pages == [("page", False), ("page", False)]


@pytest.mark.django_db(transaction=True)
def test_a_verb_may_keep_several_pages(pages):
    @printed_ahead
    @transaction.atomic
    def two():
        return [pdf_of(f"{next_number('page', 'N', 1)} {each}") for each in "ab"]

    assert two() == [b"%PDF of N1 a", b"%PDF of N2 b"]
    assert [held for _, held in pages] == [False, False]


@pytest.mark.django_db(transaction=True)
def test_what_a_verb_refuses_is_refused_and_the_press_is_as_before(pages):
    @printed_ahead
    @transaction.atomic
    def refusing():
        next_number("page", "N", 1)
        raise ValueError("no")

    with pytest.raises(ValueError, match="no"):
        refusing()
    assert not Counter.objects.exists()
    assert pdf_of("loose page") == b"%PDF of loose page"


@pytest.mark.django_db
def test_within_an_open_transaction_the_verb_is_simply_run(pages):
    assert numbered_page() == b"%PDF of page N1"
    assert pages == [("page N1", True)]
