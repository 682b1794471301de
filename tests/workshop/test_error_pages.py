"""The pages for when something is wrong: they stand on their own and say what to do."""

import re

import pytest
from django.template.loader import render_to_string
from django.test import Client, RequestFactory
from django.views.csrf import csrf_failure

PAGES = ["400", "403", "403_csrf", "404", "500"]


@pytest.mark.parametrize("page", PAGES)
def test_the_page_needs_nothing_to_be_shown(page):
    """No shop, no person, no database: the page is still whole, styled, and leads on."""
    html = render_to_string(f"{page}.html")
    assert re.search(r"<h1>[^<]+</h1>", html)
    assert page.partition("_")[0] in html
    assert 'href="/">To the start</a>' in html
    assert "css/shop" in html


@pytest.mark.parametrize("page", PAGES)
def test_the_page_has_no_inline_style_or_script(page):
    """The strict content security policy holds for these pages too."""
    html = render_to_string(f"{page}.html")
    assert not re.search(r"\sstyle=|<style|\son\w+=|<script(?![^>]*\ssrc=)", html)


def test_a_refusal_says_why():
    """The reason given reaches the person, as text."""
    html = render_to_string("403.html", {"exception": "Only a manager may do this <b>."})
    assert "Only a manager may do this &lt;b&gt;." in html


@pytest.mark.django_db
def test_a_stale_form_is_told_in_our_words():
    """Django's own page is not shown."""
    answer = csrf_failure(RequestFactory().post("/"))
    assert answer.status_code == 403
    assert "This form had gone stale" in answer.content.decode()


@pytest.mark.django_db
def test_an_unknown_address_is_answered_with_the_page():
    """A wrong address gives 404 and the way on, also to a person who has not signed in."""
    answer = Client().get("/no/such/page/")
    assert answer.status_code == 404
    assert "No such page" in answer.content.decode()


@pytest.mark.django_db
@pytest.mark.parametrize("address", ["/no%00such/", "/bikes/?q=a%00b", "/sign-in/?next=%00"])
def test_an_address_that_no_database_could_be_asked_for_is_refused(address):
    """A NUL in path or query gives 400 and the way on."""
    answer = Client().get(address)
    assert answer.status_code == 400
    assert "That request could not be read" in answer.content.decode()
    assert "Content-Security-Policy" in answer.headers


@pytest.mark.django_db
def test_more_text_than_anybody_types_is_refused_with_the_page():
    """Five million letters in a field give 400, not a bare line."""
    answer = Client().post("/sign-in/", {"username": "x" * 5_000_000, "password": "y"})
    assert answer.status_code in {200, 400}
    assert "<h1" in answer.content.decode()
