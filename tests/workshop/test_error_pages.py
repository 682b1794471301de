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
