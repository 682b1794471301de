"""Sizes of a part: which of them fit a bike, and how the page of a part tells it."""

import re
from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.core.fitting import Answer, Facts
from inventory.parts.models import FitFacts
from inventory.parts.sizes import other_sizes
from tests.factories.bikes import BikeFactory
from tests.factories.fitting import sized
from tests.factories.people import sign_in
from workshop.bikes.verbs.measure import measure_bike

pytestmark = pytest.mark.django_db
D = Decimal


@pytest.fixture
def posts():
    """A post in three sizes, one of them out of use, and something that is no size of it."""
    post = sized("post")
    thin, thick = sized("post-27", post, post_mm=D("27.2")), sized("post-31", post, post_mm=D(31))
    sized("post-25", post, part={"active": False}, post_mm=D(25))
    sized("saddle", post_mm=D(31))
    return post, thin, thick


def test_other_sizes_are_those_of_the_same_part_and_the_fitting_ones_come_first(
    posts, django_assert_num_queries
):
    post, thin, thick = posts
    with django_assert_num_queries(1):
        found = other_sizes(post, Facts(post_mm=D(31)))
    assert [(part, fit.answer) for part, fit in found] == [(thick, Answer.YES), (thin, Answer.NO)]
    assert [part for part, _ in other_sizes(thin, Facts())] == [thick]


def in_one_line(response):
    """Return a page without the spaces beside its tags."""
    return re.sub(r"\s*(<[^>]*>)\s*", r"\1", response.content.decode())


def test_a_part_that_does_not_fit_names_the_size_that_does(posts, client):
    sign_in(client)
    bike = BikeFactory.create()
    measure_bike(bike, {"post_mm": D(31)})
    url = reverse("stock:fit", args=(posts[1].pk,))
    page = in_one_line(client.get(url, {"number": bike.stock_no}))
    assert '<span class="big-number">No</span>' in page
    assert f'{reverse("stock:part", args=(posts[2].pk,))}">Post 31</a></dt><dd>fits</dd>' in page


def test_a_part_that_comes_in_sizes_is_asked_about_though_it_tells_nothing_itself(posts, client):
    sign_in(client)
    bike = BikeFactory.create()
    measure_bike(bike, {"post_mm": D(31)})
    page = client.get(reverse("stock:fit", args=(posts[0].pk,)), {"number": bike.stock_no})
    assert "Post 31</a></dt><dd>fits</dd>" in in_one_line(page)


@pytest.mark.parametrize(("end", "answer"), [("front", "Yes"), ("rear", "No")])
def test_a_bike_is_asked_at_the_end_that_the_part_is_for(client, end, answer):
    sign_in(client)
    bike, hub = BikeFactory.create(), sized("hub")
    FitFacts.objects.create(part=hub, axle_mm=D(100), axle_end=end)
    measure_bike(bike, {"front_axle_mm": D(100), "rear_axle_mm": D(135)})
    page = client.get(reverse("stock:fit", args=(hub.pk,)), {"number": bike.stock_no})
    assert f'<span class="big-number">{answer}</span>' in page.content.decode()
