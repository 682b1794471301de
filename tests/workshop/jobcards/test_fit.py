"""Whether a card’s parts fit its bike is said beside each; a misfit is drawn for a reason."""

from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.parts.models import FitFacts
from tests.asking import queries_of
from tests.factories import jobcards as made
from tests.factories.people import sign_in
from tests.factories.shop import ShopFactory
from tests.factories.stock import stocked
from workshop.bikes.models import BikeFit
from workshop.jobcards.models import Drawn
from workshop.jobcards.selectors import card_page
from workshop.jobcards.sheets.job_card import pen_card, pen_card_html
from workshop.jobcards.verbs.parts import PartError, draw_part

pytestmark = pytest.mark.django_db
POST = Decimal("33.9")
ANOTHER = Decimal("31.8")
MISFIT = "Does not fit:"
FITS = "Fits this bike"
UNKNOWN = "Fit not known:"
WHY = "a shim from the old post"


def post_for(bike_mm, part_mm, *, safety_critical=False):
    """Return a card with one seat post, whose diameter and the bike's may be known."""
    inspection = made.inspected_bike()
    if bike_mm:
        BikeFit.objects.create(bike=inspection.bike, post_mm=bike_mm)
    made.operation("post")
    part = stocked(5, code="post", name="Seat post", safety_critical=safety_critical)
    if part_mm:
        FitFacts.objects.create(part=part, post_mm=part_mm)
    return made.a_card(made.asked("post", parts=(("post", part, 2),)), inspection=inspection)


@pytest.fixture
def misfit():
    return post_for(POST, ANOTHER)


@pytest.fixture
def bench(client):
    sign_in(client)
    return client


def url(card, name="parts", *more):
    return reverse(f"jobcards:{name}", args=(card.pk, *more))


def pages(card):
    return [url(card), url(card, "card"), url(card, "task", made.task_of(card, "post").pk)]


def draw(client, card, **data):
    sent = {"key": made.a_key(), "quantity": "1"} | data
    return client.post(url(card, "draw", made.row_of(card, "post").pk), sent)


class TestShown:
    @pytest.mark.parametrize(
        ("bike_mm", "part_mm", "words"),
        [(POST, POST, FITS), (POST, ANOTHER, MISFIT), (None, POST, UNKNOWN)],
    )
    def test_beside_the_part_on_the_card_the_task_and_the_list(
        self, bench, bike_mm, part_mm, words
    ):
        card = post_for(bike_mm, part_mm)
        for page in pages(card):
            html = bench.get(page).content.decode()
            assert [each for each in (FITS, MISFIT, UNKNOWN) if each in html] == [words]

    def test_nothing_is_said_of_a_part_that_no_size_decides(self, bench):
        html = bench.get(url(post_for(POST, None))).content.decode()
        assert not any(each in html for each in (FITS, MISFIT, UNKNOWN))

    def test_the_reason_and_where_it_is_put_right_are_named(self, bench, misfit):
        html = bench.get(url(misfit)).content.decode()
        assert "seat-post diameter" in html
        assert reverse("stock:fit", args=(made.row_of(misfit, "post").part_id,)) in html

    def test_on_paper_a_misfit_has_room_for_its_reason(self, ada, misfit):
        paper = pen_card(
            card_page(misfit, ada), ShopFactory.create(), size="a4", address="https://shop.test/"
        )
        html = pen_card_html(paper)
        assert MISFIT in html
        assert "Fitted because" in html

    def test_queries_do_not_grow(self, bench):
        def sized_card(name, many):
            inspection = made.inspected_bike()
            BikeFit.objects.create(bike=inspection.bike, post_mm=POST)
            codes = [made.operation(f"{name}-{number}") for number in range(many)]
            parts = [stocked(3, code=f"part-{code}") for code in codes]
            for part in parts:
                FitFacts.objects.create(part=part, post_mm=ANOTHER)
            wanted = tuple((code, part, 1) for code, part in zip(codes, parts, strict=True))
            card = made.a_card(made.asked(*codes, parts=wanted), inspection=inspection)
            return url(card), url(card, "card"), url(card, "pen")

        few = [queries_of(bench, page) for page in sized_card("few", 2)]
        assert [queries_of(bench, page) for page in sized_card("many", 7)] == few


class TestDrawn:
    def test_a_misfit_needs_a_reason_and_keeps_it(self, misfit, ada):
        row = made.row_of(misfit, "post")
        for nothing in ("", "  "):
            with pytest.raises(PartError, match="does not fit this bike") as refused:
                draw_part(row, quantity=Decimal(1), by=ada, key="d1", fit_reason=nothing)
            assert refused.value.field == "fit_reason"
        draw_part(row, quantity=Decimal(1), by=ada, key="d1", fit_reason=WHY)
        assert Drawn.objects.get().fit_reason == WHY
        assert WHY in misfit.events.latest("pk").words

    @pytest.mark.parametrize(("bike_mm", "part_mm"), [(POST, POST), (None, POST), (POST, None)])
    def test_nothing_else_needs_or_keeps_one(self, ada, bike_mm, part_mm):
        row = made.row_of(post_for(bike_mm, part_mm), "post")
        draw_part(row, quantity=Decimal(1), by=ada, key="d1")
        draw_part(row, quantity=Decimal(1), by=ada, key="d2", fit_reason=WHY)
        assert {each.fit_reason for each in Drawn.objects.all()} == {""}

    def test_the_page_asks_with_what_was_typed_and_shows_the_reason(self, bench, misfit):
        refused = draw(bench, misfit, fit_reason=" ")
        html = refused.content.decode()
        assert refused.status_code == 422
        assert "Measure again." in html
        assert 'name="fit_reason"' in html
        assert draw(bench, misfit, fit_reason=WHY).status_code == 302
        assert f"taken all the same: {WHY}" in bench.get(url(misfit)).content.decode()

    def test_what_was_typed_as_a_reason_outlives_another_refusal(self, bench):
        card = post_for(POST, ANOTHER, safety_critical=True)
        html = draw(bench, card, fit_reason=WHY, serial="").content.decode()
        assert f'value="{WHY}"' in html
        assert Drawn.objects.count() == 0

    def test_a_scan_asks_for_it_too(self, bench, misfit):
        html = bench.post(url(misfit, "scan"), {"key": "s1", "code": "post"}).content.decode()
        assert "does not fit this bike" in html
        assert 'aria-describedby="refused"' in html
        assert Drawn.objects.count() == 0

    def test_a_queue_is_told_why_it_is_refused(self, bench, misfit):
        row = made.row_of(misfit, "post")
        answer = bench.post(
            url(misfit, "draw", row.pk),
            {"key": "q1", "quantity": "1"},
            HTTP_ACCEPT="application/json",
        )
        assert answer.status_code == 422
        assert "does not fit this bike" in answer.json()["words"]


class TestFromPaper:
    def sent(self, card, ada, **more):
        task, row = made.task_of(card, "post"), made.row_of(card, "post")
        name = f"task-{task.pk}"
        fields = {f"{name}-version": task.version, f"{name}-part-{row.pk}": "1"}
        reason = {f"{name}-fit-{row.pk}": words for words in more.values()}
        end = card.opened_at.strftime("%Y-%m-%dT%H:%M")
        return fields | reason | {"key": made.a_key(), "who": ada.pk, "end": end}

    def test_the_reason_is_asked_and_kept(self, bench, misfit, ada):
        refused = bench.post(url(misfit, "pen"), self.sent(misfit, ada))
        assert refused.status_code == 422
        assert "does not fit this bike" in refused.content.decode()
        assert Drawn.objects.count() == 0
        answer = bench.post(url(misfit, "pen"), self.sent(misfit, ada, reason=WHY))
        assert answer.status_code == 302
        assert Drawn.objects.get().fit_reason == WHY

    def test_a_part_that_fits_has_no_field_for_it(self, bench):
        html = bench.get(url(post_for(POST, POST), "pen")).content.decode()
        assert "Why it was fitted all the same" not in html
        assert FITS in html
