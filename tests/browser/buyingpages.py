"""Whether to buy a bike, at what price, and the cheapest plan for its work: their pages."""

from __future__ import annotations

from django.test import Client
from django.urls import reverse

from quotes.buyin.models import MarginCheck
from quotes.quoting.models import Revision
from workshop.people.models import User

FIGURES = {
    "resale_price": "320",
    "purchase_price": "90",
    "refurbishment_cost": "60",
    "scheme": "margin",
    "vat_rate": "20",
    "selling_fee_share": "5",
    "selling_fee_net": "2",
    "warranty_share": "3",
    "target_profit": "80",
}


def buying_pages(draft: Revision, by: User) -> dict[str, str]:
    """Save a margin check for the draft's bike and return the pages about buying it."""
    bike = draft.quote.bike_id
    client = Client()
    client.force_login(by)
    client.post(reverse("buyin:check", args=(bike,)), FIGURES)
    check = MarginCheck.objects.get(bike=bike)
    of_quote, row = (draft.quote.number, draft.number), draft.findings.all()[0]
    return {
        "buyin:list": reverse("buyin:list"),
        "margin check": reverse("buyin:check", args=(bike,)),
        "margin check kept": reverse("buyin:detail", args=(check.pk,)),
        "decision": reverse("buyin:decision", args=(bike,)),
        "plan": reverse("planning:plan", args=of_quote),
        "plan locked": reverse("planning:lock", args=(*of_quote, row.pk)),
    }
