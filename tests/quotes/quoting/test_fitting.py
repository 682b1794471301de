"""The part that goes on a bike: the one named or its size that fits; said on the quote."""

from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.db import IntegrityError
from django.urls import reverse

from inventory.core.fitting import Answer
from inventory.parts.models import FitFacts, Part
from quotes.quoting.models import Line
from quotes.quoting.selectors.book import works_of
from quotes.quoting.selectors.page import revision_for_page
from quotes.quoting.selectors.ways import ways_for
from quotes.quoting.verbs.reprice import reprice
from tests.asking import queries_of
from tests.factories import quotes as made
from tests.factories.bikes import BikeFactory
from tests.factories.fitting import sized
from tests.factories.people import UserFactory, sign_in
from workshop.bikes.models import Bike
from workshop.bikes.verbs.measure import measure_bike
from workshop.labour.models import Remedy
from workshop.shop.selectors import current_shop

pytestmark = pytest.mark.django_db
D = Decimal


def tyres(**facts):
    """A remedy that names a tyre, with a size for each of two rims."""
    remedy = made.remedy("tyre-renew", part="tyre")
    tyre = Part.objects.get(code="tyre")
    if facts:
        FitFacts.objects.create(part=tyre, **facts)
    sized("tyre-349", tyre, bead_seat_mm=349)
    sized("tyre-406", tyre, bead_seat_mm=406, part={"price_net": D("9.50"), "cost_net": D("4.75")})
    return remedy


def work(remedy, **bike):
    return works_of([remedy.pk], BikeFactory.create(**bike))[remedy.pk]


def codes(work):
    return [use.code for use in work.parts]


# which part is taken


@pytest.mark.parametrize(("rim", "code"), [(349, "tyre-349"), (406, "tyre-406"), (622, "tyre")])
def test_the_size_that_fits_takes_the_place_of_the_part_that_a_remedy_names(rim, code):
    took = work(tyres(), bead_seat_mm=rim)
    assert codes(took) == [code]
    assert took.misfits == ()
    told = f"“Tyre {code[-3:]}” instead of “Tyre”: The rim diameter is the same: {rim} mm."
    assert took.fit_words == (told if code != "tyre" else "")


def test_its_price_goes_with_it():
    took = work(tyres(), bead_seat_mm=406)
    assert (took.parts[0].price_net, took.parts[0].cost_net) == (D("9.50"), D("4.75"))


def test_where_the_rim_is_not_known_no_size_is_guessed():
    assert codes(work(tyres())) == ["tyre"]


def test_of_two_that_fit_the_cheaper_is_taken_and_none_that_is_out_of_use():
    remedy = tyres()
    tyre = Part.objects.get(code="tyre")
    sized("tyre-406-b", tyre, bead_seat_mm=406, part={"price_net": D("9.00")})
    sized("tyre-406-c", tyre, bead_seat_mm=406, part={"price_net": D("1.00"), "active": False})
    assert codes(work(remedy, bead_seat_mm=406)) == ["tyre-406-b"]


def test_the_only_size_that_something_speaks_for_is_taken_and_said_to_be_unknown():
    remedy = tyres()
    FitFacts.objects.filter(part__code="tyre-406").update(section_mm=47)
    took = work(remedy, bead_seat_mm=406)
    assert codes(took) == ["tyre-406"]
    assert took.fit_words.startswith("Not known whether “Tyre 406” fits: Nobody has measured")
    sized("tyre-406-b", Part.objects.get(code="tyre"), bead_seat_mm=406, section_mm=37)
    assert codes(work(remedy, bead_seat_mm=406)) == ["tyre"]


def test_a_part_that_fits_no_longer_gives_way_where_it_is_itself_a_size():
    remedy = made.remedy("tyre-renew", part="tyre-406")
    named = Part.objects.get(code="tyre-406")
    named.size_of = sized("tyre")
    named.save()
    FitFacts.objects.create(part=named, bead_seat_mm=406)
    sized("tyre-349", named.size_of, bead_seat_mm=349, part={"price_net": D(1)})
    sized("tyre-406-b", named.size_of, bead_seat_mm=406, part={"price_net": D(1)})
    assert codes(work(remedy, bead_seat_mm=406)) == ["tyre-406"]
    assert codes(work(remedy, bead_seat_mm=349)) == ["tyre-349"]


def test_a_part_that_does_not_fit_and_has_no_other_size_stays_and_is_a_misfit():
    remedy = made.remedy("post-renew", part="post")
    FitFacts.objects.create(part=Part.objects.get(code="post"), post_mm=D("27.2"))
    bike = BikeFactory.create()
    measure_bike(bike, {"post_mm": D("31.8")})
    took = works_of([remedy.pk], bike)[remedy.pk]
    assert [each.fit.answer for each in took.misfits] == [Answer.NO]
    assert took.fit_words.startswith("“Post” does not fit: The seat-post diameter differs")


def test_many_remedies_are_read_with_as_many_queries_as_few(django_assert_num_queries):
    bike = BikeFactory.create(bead_seat_mm=406)
    measure_bike(bike, {"post_mm": D("31.8")})
    few, many = [tyres()], []
    for number in range(12):
        many.append(made.remedy(f"r{number}", part=f"p{number}", access="wheel-out"))
        sized(f"s{number}", Part.objects.get(code=f"p{number}"), bead_seat_mm=406)
    for remedies in (few[:1] + many[:1], many):
        with django_assert_num_queries(6):
            works_of([each.pk for each in remedies], bike)


# on the quote


def test_a_draft_names_the_size_that_fits_and_follows_what_is_measured():
    made.priced_shop()
    revision = made.draft(made.fault("tyre-worn", tyres()), bead_seat_mm=406)
    line = Line.objects.get(revision=revision, part__isnull=False)
    assert (line.part.code, line.description, line.net) == ("tyre-406", "Tyre 406", D("9.50"))
    Bike.objects.update(bead_seat_mm=349)
    reprice(revision)
    assert Line.objects.get(revision=revision, part__isnull=False).part.code == "tyre-349"


def told(client, revision):
    url = reverse("quoting:revision", args=(revision.quote.number, revision.number))
    return client.get(url).content.decode()


def test_the_page_says_of_each_part_whether_it_fits(client):
    sign_in(client, desk=True)
    made.priced_shop()
    remedy = made.remedy("post-renew", part="post")
    revision = made.draft(made.fault("post-bent", remedy), bead_seat_mm=406)
    assert "fits this bike" not in told(client, revision)
    FitFacts.objects.create(part=Part.objects.get(code="post"), post_mm=D("27.2"))
    page = told(client, revision)
    assert "Fit not known: The bike’s seat-post diameter is not known" in page
    assert reverse("bikes:sizes", args=(revision.quote.bike_id,)) in page
    measure_bike(revision.quote.bike, {"post_mm": D("31.8")})
    page = told(client, revision)
    assert "<strong>Does not fit:</strong> The seat-post diameter differs" in page
    assert "A part does not fit this bike." in page
    measure_bike(revision.quote.bike, {"post_mm": D("27.2")})
    page = told(client, revision)
    assert "fits this bike" in page
    assert "does not fit" not in page.lower()


def test_a_line_left_out_is_no_misfit():
    made.priced_shop()
    revision = made.draft(made.fault("post-bent", made.remedy("post-renew", part="post")))
    FitFacts.objects.create(part=Part.objects.get(code="post"), post_mm=D("27.2"))
    measure_bike(revision.quote.bike, {"post_mm": D("31.8")})
    assert len(revision_for_page(revision.pk).misfits) == 1
    Line.objects.filter(revision=revision, part__isnull=False).update(
        left_out=True, reason="the customer brings one"
    )
    assert revision_for_page(revision.pk).misfits == ()


def test_the_ways_for_a_finding_say_whose_parts_do_not_fit():
    made.priced_shop()
    post, sleeve = made.remedy("post-renew", part="post"), made.remedy("sleeve")
    revision = made.draft(made.fault("post-bent", post, sleeve))
    FitFacts.objects.create(part=Part.objects.get(code="post"), post_mm=D("27.2"))
    measure_bike(revision.quote.bike, {"post_mm": D("31.8")})
    row = made.row_of(revision, "post-bent")
    notes = {way.name: way.note for way in ways_for(row, current_shop())}
    assert notes[post.name].startswith("“Post” does not fit: The seat-post diameter differs")
    assert notes[sleeve.name] == ""


def test_the_page_runs_as_many_queries_for_many_sized_parts_as_for_few(client):
    sign_in(client, manager=True)
    made.priced_shop()
    asked = []
    for count, name in ((1, "few"), (10, "many")):
        faults = made.many(count, name=name)
        for number in range(count):
            part = Part.objects.get(code=f"{name}-part-{number}")
            sized(f"{name}-size-{number}", part, bead_seat_mm=406)
        by = UserFactory.create(manager=True)
        revision = made.draft(*faults, by=by, bead_seat_mm=406)
        assert {line.part.code for line in Line.objects.filter(part__isnull=False)} >= {
            f"{name}-size-{number}" for number in range(count)
        }
        url = reverse("quoting:revision", args=(revision.quote.number, 1))
        asked.append(queries_of(client, url))
    assert asked[0] == asked[1]


# sizes of parts


def test_a_part_is_a_size_of_one_that_is_none_and_not_of_itself():
    tyre = sized("tyre")
    small = sized("tyre-349", tyre)
    with pytest.raises(ValidationError, match="is itself a size"):
        Part(code="x", name="x", size_of=small, cost_net=1, price_net=2).full_clean()
    tyre.size_of = sized("wheel")
    with pytest.raises(ValidationError, match="Other parts are sizes of this one"):
        tyre.full_clean()
    with pytest.raises(IntegrityError):
        Part.objects.filter(pk=small.pk).update(size_of=small.pk)


def test_the_catalogue_offers_only_parts_that_remedies_name(client):
    sign_in(client, manager=True)
    tyres()
    sized("bell")
    small = Part.objects.get(code="tyre-349")
    form = client.get(reverse("catalogue:edit", args=("parts", small.pk))).context["form"]
    assert [str(each) for each in form.fields["size_of"].queryset] == ["Tyre (tyre)"]
    assert Remedy.objects.count() == 1
