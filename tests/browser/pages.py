"""A small shop with something on every main page, in words as long as they come."""

from __future__ import annotations

import datetime as dt
from decimal import Decimal

from django.urls import reverse
from django.utils import timezone
from playwright.sync_api import Page

from quotes.quoting.models import Revision
from quotes.quoting.verbs.revise import revise
from quotes.quoting.verbs.send import send
from quotes.quoting.verbs.start import start_quote
from tests.browser.benchpages import bench_pages
from tests.browser.buyingpages import buying_pages
from tests.browser.stockpages import stock_pages
from tests.factories import sales
from tests.factories.bikes import BikeFactory
from tests.factories.inspections import PhotoFactory
from tests.factories.people import PASSWORD, CustomerFactory
from tests.factories.resale import on_a_line
from tests.factories.shop import ShopFactory
from workshop.bikes.models import Bike
from workshop.catalogue.loading import load_catalogue
from workshop.inspections.judging import FaultInput
from workshop.inspections.models import Checkpoint, Inspection, Outcome
from workshop.inspections.verbs.finish import finish_inspection
from workshop.inspections.verbs.record import record_check, record_sound
from workshop.inspections.verbs.start import start_inspection
from workshop.people.models import User

FOUND = {"front-rim-brake": "front-blocks-worn", "main-clamp": "main-clamp-weak"}
BY_HAND = {"road-test": "road-test-noise"}
DEEP = {"headset": "headset-notched"}
"""A fault behind several access steps, with a torque and a safety-critical part."""
DEAL_BREAKER = {"rear-stays": "rear-stays-bent"}


def sign_in(page: Page, person: User) -> None:
    """Sign a person in at the page."""
    page.goto("/sign-in/")
    page.fill("[name=username]", person.username)
    page.fill("[name=password]", PASSWORD)
    page.click("main button[type=submit]")
    page.wait_for_url("**/")


def visit(page: Page, address: str) -> None:
    """Go to a page, which must be there."""
    answer = page.goto(address)
    assert answer is not None
    assert answer.status == 200, address


def small_shop(by: User) -> dict[str, str]:
    """Set up the shop and return the addresses of its main pages, each by a name of its own."""
    ShopFactory.create(name="Unterbarmerstrasse Velowerkstatt & Cycle Works")
    load_catalogue()
    on_a_line(6, entered_by=by)
    walked = inspected(by, FOUND | BY_HAND)
    draft = start_quote(walked, by)
    sent = start_quote(inspected(by, FOUND), by)
    send(sent, by)
    revised = start_quote(inspected(by, FOUND), by)
    send(revised, by)
    newer = revise(revised.quote, by)
    left = start_quote(inspected(by, DEAL_BREAKER), by)
    working, checking = (start_quote(inspected(by, FOUND | DEEP), by) for _ in range(2))
    open_walk = start_inspection(a_bike(), by)
    look(open_walk, FOUND, by)
    return (
        of_walk(open_walk)
        | of_draft(draft)
        | of_lists()
        | stock_pages(by)
        | buying_pages(draft, by)
        | {
            "bike": reverse("bikes:detail", args=(walked.bike_id,)),
            "bike to change": reverse("bikes:edit", args=(walked.bike_id,)),
            "customer": reverse("customers:detail", args=(walked.bike.customer_id,)),
            "finished walk": reverse("inspections:overview", args=(walked.pk,)),
            "recorded": reverse("inspections:checkpoint", args=(walked.pk, "main-clamp")),
            "sent": of(sent),
            "answer": reverse("acceptance:record", args=(sent.quote.number, 1)),
            "what changed": of(newer, "compare"),
            "no price": of(left),
            "resale price": reverse("resale:bike", args=(walked.bike_id,)),
        }
        | of_sales()
        | bench_pages(working, checking, by)
    )


def of_sales() -> dict[str, str]:
    """Return the pages of the stock book: a bike sold, one for sale, one not entered yet."""
    today = timezone.localdate()
    days = [today - dt.timedelta(days=each) for each in (40, 9)]
    sale = sales.sold(sales.in_stock(bought_on=days[0]), sold_on=days[1])
    here = sales.in_stock(bought_on=days[0])
    check = sales.decided()
    return {
        "sales": reverse("sales:list"),
        "stock book": reverse("sales:book"),
        "learned": reverse("sales:learned"),
        "sold": reverse("sales:row", args=(sale.purchase.number,)),
        "to sell": reverse("sales:sell", args=(here.number,)),
        "to take back": reverse("sales:take_back", args=(sale.number,)),
        "to pay part back": reverse("sales:reduce", args=(sale.number,)),
        "to reverse": reverse("sales:reverse", args=(here.number,)),
        "to enter": reverse("sales:buy", args=(check.bike_id,)),
    }


def a_bike() -> Bike:
    """A bike offered to the shop, with long names."""
    return BikeFactory.create(
        model="Überlandexpress Lightstep 6",
        colour="midnight blue, resprayed",
        gears="derailleur",
        asking_price=Decimal(1250),
        frame_number=f"WWMMWWMM0011223344556677{Bike.objects.count():04}",
        has_rack=True,
        has_mudguards=True,
        has_lights=True,
        customer=CustomerFactory.create(
            name="Marguerite-Antoinette de Villeneuve-Castelnau",
            email="marguerite-antoinette.de-villeneuve@castelnau-les-bains.example",
        ),
    )


def look(inspection: Inspection, found: dict[str, str], by: User) -> None:
    """Record the faults found, each at its checkpoint, and one checkpoint as sound."""
    points = {point.code: point for point in Checkpoint.objects.all()}
    for place, fault in found.items():
        check = record_check(
            inspection,
            points[place],
            by=by,
            base_version=0,
            outcome=Outcome.FINDINGS,
            faults=[FaultInput(fault)],
            note="Seen in the sun.",
        )
        PhotoFactory.create(check_made=check)
    record_sound(inspection, points["saddle"], by=by, base_version=0)


def inspected(by: User, found: dict[str, str]) -> Inspection:
    """A finished inspection that found the faults and could not test the rest."""
    inspection = start_inspection(a_bike(), by)
    look(inspection, found, by)
    return finish_inspection(inspection, by, rest_because="The seller had to catch a train.")


def of(revision: Revision, page: str = "revision", *more: int) -> str:
    """Return the address of a revision's page."""
    return reverse(f"quoting:{page}", args=(revision.quote.number, revision.number, *more))


def of_walk(walk: Inspection) -> dict[str, str]:
    """Return the pages of a walk under way."""
    return {
        "walk": reverse("inspections:overview", args=(walk.pk,)),
        "checkpoint": reverse("inspections:checkpoint", args=(walk.pk, "main-hinge")),
        "checkpoint again": reverse("inspections:checkpoint", args=(walk.pk, "main-clamp")),
    }


def of_draft(draft: Revision) -> dict[str, str]:
    """Return the pages of a draft."""
    return {
        "draft": of(draft),
        "remedy": of(draft, "choose", draft.findings.first().pk),  # type: ignore[union-attr]
        "line": of(draft, "line_change", draft.lines.first().pk),  # type: ignore[union-attr]
        "line by hand": of(draft, "line_add"),
        "details": of(draft, "details"),
        "sending": of(draft, "send"),
        "history": of(draft, "history"),
    }


def of_lists() -> dict[str, str]:
    """Return the pages that need nothing to be named."""
    names = (
        "home",
        "password_change",
        "bikes:list",
        "bikes:book_in",
        "customers:list",
        "customers:new",
        "quoting:list",
        "resale:list",
        "resale:new",
        "resale:import",
        "catalogue:index",
        "people:list",
        "people:new",
        "shop:edit",
    )
    kinds = ("labour-rates", "parts", "checkpoints", "remedies", "judgement-rules")
    lists = {kind: reverse("catalogue:list", args=(kind,)) for kind in kinds}
    new = {f"new {kind}": reverse("catalogue:new", args=(kind,)) for kind in kinds}
    return {name: reverse(name) for name in names} | lists | new
