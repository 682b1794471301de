"""Who may open what: every URL, every role, reading and writing, against a table of its own.

The table below is written from what each role does in the shop, not from the policy that is
tested: m manager, d front desk, b mechanic (bench), a accountant.
"""

import datetime as dt
from collections.abc import Iterator

import pytest
from django.http import HttpResponse
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, include, path, reverse

from tests.factories.people import UserFactory, sign_in
from workshop.people.models import Role
from workshop.people.policy import POLICY, PUBLIC, allowed

pytestmark = pytest.mark.django_db

LETTERS = {"m": Role.MANAGER, "d": Role.DESK, "b": Role.MECHANIC, "a": Role.ACCOUNTANT}
ANYBODY = "anybody"

# URL name: who reads (GET), who writes (POST)
EXPECTED = {
    "login": (ANYBODY, ANYBODY),
    # everybody's own
    "home": ("mdba", ""),
    "logout": ("", "mdba"),
    "password_change": ("mdba", "mdba"),
    # everybody's browser may keep what it was shown
    "offline:worker": ("mdba", ""),
    "offline:who": ("mdba", ""),
    # only the manager lets people in; the books see how the shop reckons
    "people:list": ("m", ""),
    "people:new": ("m", "m"),
    "people:edit": ("m", "m"),
    "shop:edit": ("ma", "m"),
    # whose bikes they are is the office's business, not the bench's
    "customers:list": ("mda", ""),
    "customers:detail": ("mda", ""),
    "customers:new": ("md", "md"),
    "customers:edit": ("md", "md"),
    # bikes are seen by all and booked in at the desk
    "bikes:list": ("mdba", ""),
    "bikes:detail": ("mdba", ""),
    "bikes:photo": ("mdba", ""),
    "bikes:book_in": ("md", "md"),
    "bikes:edit": ("md", "md"),
    # whoever holds the calliper writes the sizes down
    "bikes:sizes": ("mdba", "mdb"),
    "bikes:sizes_taken": ("", "mdb"),
    # whoever stands at the bench inspects
    "inspections:overview": ("mdba", ""),
    "inspections:photo": ("mdba", ""),
    "inspections:walk": ("mdb", ""),
    "inspections:checkpoint": ("mdb", "mdb"),
    "inspections:judge": ("mdb", ""),
    "inspections:start": ("", "mdb"),
    "inspections:sound": ("", "mdb"),
    "inspections:take_back": ("", "mdb"),
    "inspections:photo_add": ("", "mdb"),
    "inspections:photo_remove": ("", "mdb"),
    "inspections:finish": ("", "mdb"),
    "inspections:reopen": ("", "mdb"),
    # all look things up, the manager changes them, the books follow up who did
    "catalogue:index": ("mdba", ""),
    "catalogue:list": ("mdba", ""),
    "catalogue:new": ("m", "m"),
    "catalogue:edit": ("m", "m"),
    "catalogue:history": ("ma", ""),
    # everybody sees what there is; whoever is at the shelf books it and counts it blindly
    "stock:list": ("mdba", ""),
    "stock:part": ("mdba", ""),
    "stock:offers": ("mdba", ""),
    "stock:fit": ("mdba", ""),
    "stock:facts": ("md", "md"),
    "stock:many": ("m", "m"),
    "stock:move": ("mdb", "mdb"),
    "stock:release": ("", "mdb"),
    "stock:take_back": ("md", "md"),
    "stock:stocktakes": ("mdb", ""),
    "stock:stocktake_start": ("", "mdb"),
    "stock:stocktake": ("mdb", "mdb"),
    # who counts does not see what should be there; what it is worth is for the books
    "stock:differences": ("m", "m"),
    "stock:report": ("ma", ""),
    "stock:method": ("m", "m"),
    # the office says what is wanted, only the manager spends the money; whoever is there takes the
    # parcel in, without prices, which stand on the order's paper
    "purchasing:list": ("mdba", ""),
    "purchasing:order": ("mdba", ""),
    "purchasing:short": ("mda", "md"),
    "purchasing:change": ("md", "md"),
    "purchasing:add": ("md", "md"),
    "purchasing:discard": ("", "md"),
    "purchasing:place": ("", "m"),
    "purchasing:pdf": ("ma", ""),
    "purchasing:csv": ("ma", ""),
    "purchasing:goods_in": ("mdb", "mdb"),
    "purchasing:end": ("m", "m"),
    "purchasing:reopen": ("", "m"),
    "purchasing:points": ("mda", "m"),
    "purchasing:settings": ("m", "m"),
    # how a bike's release stands is everybody's to know; who wrenches signs for it
    "jobcards:release": ("mdba", ""),
    "jobcards:release_news": ("mdba", ""),
    "jobcards:sign": ("", "mb"),
    "jobcards:unsign": ("", "mb"),
    "jobcards:let_go": ("", "mb"),
    # the sheet names the customer, as the quote does
    "jobcards:sheet": ("mda", ""),
    # the card on paper has no customer on it; whoever has it at hand enters it
    "jobcards:print": ("mdba", ""),
    "jobcards:pen": ("mdb", "mdb"),
    # whoever stands at the shelf or the rack labels what is there
    "labels:bikes": ("mdb", ""),
    "labels:parts": ("mdb", ""),
    # the board is everybody's; the desk promises, the manager sets hours
    "bench:board": ("mdba", ""),
    "bench:promise": ("mdba", "md"),
    "bench:times": ("mdba", ""),
    "bench:hours": ("mdba", ""),
    "bench:person": ("m", "m"),
    "bench:away": ("md", "md"),
    "bench:away_remove": ("", "md"),
    "bench:day": ("md", "md"),
    "bench:day_remove": ("", "md"),
    "bench:settings": ("m", "m"),
    # quotes are made and answered at the desk
    "quoting:list": ("mda", ""),
    "quoting:revision": ("mda", ""),
    "quoting:compare": ("mda", ""),
    "quoting:history": ("ma", ""),
    "quoting:start": ("", "md"),
    "quoting:choose": ("md", "md"),
    "quoting:line_add": ("md", "md"),
    "quoting:line_change": ("md", "md"),
    "quoting:line_restore": ("", "md"),
    "quoting:line_remove": ("", "md"),
    "quoting:details": ("md", "md"),
    "quoting:reprice": ("", "md"),
    "quoting:send": ("md", "md"),
    "quoting:revise": ("", "md"),
    "printing:pdf": ("mda", ""),
    "printing:preview": ("md", ""),
    "acceptance:record": ("md", "md"),
    "acceptance:detail": ("mda", ""),
    "acceptance:open_card": ("md", "md"),
    # on which terms one buys is the office's business, at which prices only the books'
    "suppliers:list": ("mda", ""),
    "suppliers:detail": ("mda", ""),
    "suppliers:new": ("m", "m"),
    "suppliers:edit": ("m", "m"),
    "suppliers:history": ("ma", ""),
    "suppliers:articles": ("ma", ""),
    "suppliers:article": ("ma", ""),
    "suppliers:match": ("m", "m"),
    "pricelists:list": ("ma", ""),
    "pricelists:send": ("m", "m"),
    "pricelists:columns": ("m", "m"),
    "pricelists:page": ("ma", ""),
    "pricelists:problems": ("ma", ""),
    "pricelists:step": ("", "m"),
    "pricelists:anew": ("", "m"),
    "pricelists:apply": ("", "m"),
    "pricelists:discard": ("", "m"),
    # all see how work stands; who stands at the bench ticks, draws, reads and reports
    "jobcards:list": ("mdba", ""),
    "jobcards:card": ("mdba", ""),
    "jobcards:live": ("mdba", ""),
    "jobcards:open_check": ("", "mdb"),
    "jobcards:tick": ("", "mdb"),
    "jobcards:untick": ("", "mdb"),
    "jobcards:start": ("", "mdb"),
    "jobcards:stop": ("", "mdb"),
    "jobcards:task": ("mdba", "mdb"),
    "jobcards:judge": ("mdb", ""),
    "jobcards:parts": ("mdba", ""),
    "jobcards:scan": ("", "mdb"),
    "jobcards:reserve": ("", "mdb"),
    "jobcards:draw": ("", "mdb"),
    "jobcards:give_back": ("", "mdb"),
    "jobcards:extra": ("mdb", ""),
    "jobcards:extra_at": ("mdb", "mdb"),
    # what a bike should bring goes with what it may cost
    "resale:list": ("ma", ""),
    "resale:new": ("m", "m"),
    "resale:edit": ("m", "m"),
    "resale:remove": ("m", "m"),
    "resale:import": ("m", "m"),
    "resale:import_add": ("", "m"),
    "resale:template": ("m", ""),
    "resale:bike": ("ma", ""),
    "resale:drop": ("m", "m"),
    "resale:take_back": ("", "m"),
    # what a bike may cost is the manager's to decide and the accountant's to know
    "buyin:list": ("ma", ""),
    "buyin:detail": ("ma", ""),
    "buyin:check": ("m", "m"),
    "buyin:decide": ("", "m"),
    "buyin:decision": ("ma", "m"),
    "buyin:kept": ("ma", ""),
    "buyin:sheet": ("ma", ""),
    "planning:plan": ("mda", ""),
    "planning:take": ("", "md"),
    "planning:lock": ("md", "md"),
    "planning:unlock": ("", "md"),
    # who a seller is, is the office's business; the bench reads frame numbers
    "provenance:start": ("", "md"),
    "provenance:check": ("md", ""),
    "provenance:step": ("md", "md"),
    "provenance:frame": ("mdb", "mdb"),
    "provenance:conclude": ("", "md"),
    "provenance:declaration": ("md", ""),
    "provenance:settings": ("m", "m"),
    # what the books are declared from: the manager's to enter, the accountant's to read
    "margins:parts": ("ma", ""),
    "pool:overview": ("ma", ""),
    "pool:period": ("ma", ""),
    "pool:enter": ("m", "m"),
    "pool:reverse": ("m", "m"),
    "pool:declare": ("", "m"),
    "pool:set_up": ("m", "m"),
    "sales:list": ("mda", ""),
    "sales:row": ("mda", ""),
    "sales:sell": ("md", "md"),
    "sales:invoice": ("mda", ""),
    "sales:credit_note": ("mda", ""),
    "sales:take_back": ("m", "m"),
    "sales:reduce": ("m", "m"),
    "sales:buy": ("m", "m"),
    "sales:reverse": ("m", "m"),
    "sales:receipt": ("ma", ""),
    "sales:book": ("ma", ""),
    "sales:book_pdf": ("ma", ""),
    "sales:learned": ("ma", ""),
}

SAMPLES = {
    "IntConverter": 999_999,
    "StringConverter": "Q9999",
    "SlugConverter": "no-such-thing",
    "DayConverter": dt.date(1999, 1, 1),
}


def patterns(
    within: list[URLPattern | URLResolver], spaces: str = "", taken: tuple = ()
) -> Iterator[tuple[str, dict[str, object]]]:
    """Yield every URL of the site by name, with arguments of the right kind."""
    for each in within:
        arguments = (*taken, *each.pattern.converters.items())
        if isinstance(each, URLResolver):
            inner = f"{spaces}{each.namespace}:" if each.namespace else spaces
            yield from patterns(each.url_patterns, inner, arguments)
        else:
            values = {name: SAMPLES[type(kind).__name__] for name, kind in arguments}
            yield f"{spaces}{each.name}", values


SITE = dict(patterns(get_resolver().url_patterns))


def refused(response: HttpResponse) -> bool:
    """Tell whether the site refused; anything else, even 404, was let through to the view."""
    return response.status_code == 403


def ask(client, method, name):
    """Ask for a URL; for writing, with nothing filled in."""
    client.raise_request_exception = False
    url = reverse(name, kwargs=SITE[name])
    return client.get(url) if method == "GET" else client.post(url)


def test_every_url_has_a_name_of_its_own():
    every = list(patterns(get_resolver().url_patterns))
    assert not [name for name, _ in every if name.endswith("None")]
    assert len(every) == len(SITE)


def test_every_url_stands_in_the_table_and_nothing_else_does():
    assert set(SITE) == set(EXPECTED)


def test_every_url_stands_in_the_policy_and_nothing_else_does():
    assert set(SITE) == set(POLICY) | PUBLIC


@pytest.mark.parametrize("method", ["GET", "POST"])
@pytest.mark.parametrize("role", list(Role))
@pytest.mark.parametrize("name", sorted(EXPECTED))
def test_each_role_opens_what_is_its_own_and_nothing_else(name, role, method):
    expected = EXPECTED[name][method == "POST"]
    may = expected == ANYBODY or role in {LETTERS[letter] for letter in expected}
    client = Client()
    sign_in(client, role=role)
    response = ask(client, method, name)
    assert refused(response) is not may, f"{role} {method} {name}: {response.status_code}"
    assert response.status_code < 500


@pytest.mark.parametrize("method", ["GET", "POST"])
@pytest.mark.parametrize("name", sorted(EXPECTED))
def test_who_has_not_signed_in_is_sent_to_sign_in(name, method):
    response = ask(Client(), method, name)
    if EXPECTED[name][0] == ANYBODY:
        assert response.status_code == 200
    else:
        assert response.status_code == 302
        assert response["Location"].startswith(reverse("login"))


@pytest.mark.parametrize("method", ["PUT", "PATCH", "DELETE"])
def test_other_ways_of_writing_are_writing(method):
    client = Client()
    sign_in(client, accountant=True)
    for name in ("bikes:list", "shop:edit", "catalogue:index"):
        assert client.generic(method, reverse(name)).status_code == 403


def test_a_login_no_longer_in_use_is_shut_out_at_the_next_click():
    client = Client()
    person = sign_in(client, manager=True)
    assert client.get(reverse("people:list")).status_code == 200
    person.is_active = False
    person.save()
    assert client.get(reverse("people:list")).status_code == 302


def test_a_change_of_role_holds_at_the_next_click():
    client = Client()
    person = sign_in(client, manager=True)
    person.role = Role.MECHANIC
    person.save()
    assert client.get(reverse("people:list")).status_code == 403


# denied by default


def forgotten(_request):
    return HttpResponse("everything")


class Forgetful:
    """The site with three views that nobody wrote into the policy."""

    app_name = "forgetful"
    urlpatterns = [path("named/", forgotten, name="named")]


urlpatterns = [
    path("plain/", forgotten, name="plain"),
    path("nameless/", forgotten),
    path("room/", include((Forgetful.urlpatterns, Forgetful.app_name))),
    path("", include("workshop.urls")),
]


@pytest.mark.urls(__name__)
@pytest.mark.parametrize("method", ["get", "post"])
@pytest.mark.parametrize("url", ["/plain/", "/nameless/", "/room/named/"])
@pytest.mark.parametrize("role", list(Role))
def test_a_view_that_the_policy_does_not_name_is_refused_to_everybody(role, url, method):
    client = Client()
    sign_in(client, role=role)
    response = getattr(client, method)(url)
    assert response.status_code == 403
    assert b"everything" not in response.content


@pytest.mark.urls(__name__)
def test_a_superuser_is_no_exception():
    client = Client()
    client.force_login(UserFactory.create(is_superuser=True, is_staff=True))
    assert client.get("/plain/").status_code == 403
    assert client.get("/people/").status_code == 403


def test_an_unknown_url_or_role_is_not_allowed():
    assert not allowed(Role.MANAGER, "no:such")
    assert not allowed("owner", "home")
    assert not allowed("", "home")


def test_a_refusal_is_a_page_of_the_site(client):
    sign_in(client)
    response = client.get(reverse("people:list"))
    assert response.status_code == 403
    assert b"<h1" in response.content
