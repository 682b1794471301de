"""No page is wider than the screen, down to the narrowest phone."""

import pytest

from tests.browser.pages import sign_in, small_shop, visit
from tests.factories.people import UserFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

WIDTHS = (320, 390, 768, 1280)
STICKING_OUT = """width => [...document.querySelectorAll('main *')]
    .filter(e => e.getBoundingClientRect().right > width + 1
        && !e.closest('.drawing-pan, .table-wrap, .photos, .visually-hidden'))
    .slice(0, 3).map(e => e.outerHTML.slice(0, 120))"""


def test_no_page_scrolls_sideways(wide_page, transactional_db):
    manager = UserFactory.create(manager=True)
    pages = small_shop(manager)
    sign_in(wide_page, manager)
    wide = {}
    for name, address in pages.items():
        visit(wide_page, address)
        for width in WIDTHS:
            wide_page.set_viewport_size({"width": width, "height": 800})
            if wide_page.evaluate("document.documentElement.scrollWidth") > width:
                wide[name, width] = wide_page.evaluate(STICKING_OUT, width)
    assert wide == {}
