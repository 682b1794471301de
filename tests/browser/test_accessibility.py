"""The main pages can be used by everybody: axe's rules, the keyboard, large type, less motion."""

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser.pages import sign_in, small_shop, visit
from tests.conftest import PHONE
from tests.factories.people import UserFactory

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

RULES = {"runOnly": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]}
MAIN_PAGES = (
    "home",
    "bikes:list",
    "bikes:book_in",
    "bike",
    "walk",
    "checkpoint",
    "checkpoint again",
    "draft",
    "remedy",
    "line by hand",
    "sending",
    "sent",
    "answer",
    "what changed",
    "customer",
    "resale price",
    "catalogue:index",
    "judgement-rules",
    "new remedies",
    "shop:edit",
)
STOCK_PAGES = (
    "stock:list",
    "stock:report",
    "stock:stocktakes",
    "stock:many",
    "many looked over",
    "part",
    "part to change",
    "to goods-in",
    "does it fit",
    "counting",
    "differences",
    "margins:parts",
    "suppliers:list",
    "supplier",
    "articles",
    "article",
    "match",
    "price list's columns",
    "price list",
    "purchasing:list",
    "purchasing:short",
    "purchasing:points",
    "order",
    "order to change",
    "goods in",
    "buyin:list",
    "margin check",
    "margin check kept",
    "decision",
    "plan",
    "plan locked",
)
BENCH_PAGES = (
    "jobcards:list",
    "job card",
    "task",
    "parts of a card",
    "extra work",
    "extra work there",
    "card from paper",
    "release check",
    "bench:board",
    "why that day",
    "bench:times",
    "bench:hours",
    "hours of a person",
    "bench:settings",
    "labels:bikes",
    "labels:parts",
)
WHAT_HAS_FOCUS = """() => {
    const at = document.activeElement, box = at.getBoundingClientRect();
    const seen = getComputedStyle(at.matches('.choice input') ? at.closest('.choice') : at);
    return {
        name: at.value || at.textContent.trim().slice(0, 40) || at.name,
        ring: seen.outlineStyle !== 'none' && parseFloat(seen.outlineWidth) >= 2,
        hidden: !(box.width && box.height),
    };
}"""


@pytest.fixture
def manager(transactional_db):
    return UserFactory.create(manager=True)


@pytest.fixture
def phone(phone_page, manager):
    """A manager's phone in the small shop, with its pages."""
    pages = small_shop(manager)
    sign_in(phone_page, manager)
    return phone_page, pages


def broken_rules(page):
    """Return what axe finds wrong: the rule, and where."""
    found = Axe().run(page, options=RULES).response["violations"]
    return [(each["id"], [node["html"][:200] for node in each["nodes"]]) for each in found]


@pytest.mark.parametrize(
    "names",
    [MAIN_PAGES, STOCK_PAGES, BENCH_PAGES],
    ids=["main", "stock and buying", "bench"],
)
def test_axe_finds_nothing_on_any_page_nor_with_all_of_it_unfolded(phone, names):
    page, pages = phone
    wrong = {}
    for name in names:
        visit(page, pages[name])
        closed = broken_rules(page)
        page.eval_on_selector_all("main details", "all => all.forEach(e => e.open = true)")
        unfolded = broken_rules(page)
        if closed or unfolded:
            wrong[name] = closed or unfolded
    assert wrong == {}


def test_axe_would_find_what_is_wrong(phone):
    page, pages = phone
    visit(page, pages["bikes:list"])
    page.evaluate("document.querySelector('label').remove()")
    assert [rule for rule, _ in broken_rules(page)] == ["label"]


def test_a_checkpoint_is_walked_by_the_keyboard_alone(phone):
    page, pages = phone
    visit(page, pages["checkpoint"])
    page.keyboard.press("Tab")
    assert page.evaluate(WHAT_HAS_FOCUS)["name"] == "Skip to the page"
    page.keyboard.press("Enter")
    places = []
    for _ in range(40):
        page.keyboard.press("Tab")
        places.append(page.evaluate(WHAT_HAS_FOCUS))
        if places[-1]["name"] == "Sound":
            break
    assert [each for each in places if not each["ring"] or each["hidden"]] == []
    names = [each["name"] for each in places]
    assert names.index("Could not test it") < names.index("Save") < names.index("Sound")
    before = page.url
    page.keyboard.press("Enter")
    page.wait_for_url(lambda url: url != before)
    assert page.get_by_text("Saved: Main frame hinge").is_visible()


def test_whoever_wants_less_motion_gets_none(chromium, live_server, manager):
    pages = small_shop(manager)
    context = chromium.new_context(base_url=live_server.url, reduced_motion="reduce", **PHONE)
    page = context.new_page()
    sign_in(page, manager)
    moving = """all => all.filter(e => {
        const s = getComputedStyle(e);
        return s.animationName !== 'none' || s.transitionDuration !== '0s';
    }).length"""
    for name in ("home", "checkpoint", "draft"):
        visit(page, pages[name])
        assert page.eval_on_selector_all("*", moving) == 0, name
    context.close()


def test_type_of_twice_the_size_still_fits_and_nothing_is_cut_off(chromium, live_server, manager):
    pages = small_shop(manager)
    context = chromium.new_context(
        base_url=live_server.url, viewport={"width": 640, "height": 450}, device_scale_factor=2
    )
    page = context.new_page()
    sign_in(page, manager)
    for name in MAIN_PAGES + STOCK_PAGES:
        visit(page, pages[name])
        assert page.evaluate("document.documentElement.scrollWidth") <= 640, name
    context.close()
