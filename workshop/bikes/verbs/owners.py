"""Hands a bike over to a customer, and back to whom it was with before."""

from __future__ import annotations

import datetime as dt

from django.db import transaction

from workshop.bikes.models import Bike
from workshop.customers.models import Customer


@transaction.atomic
def hand_over(bike: Bike, customer: Customer) -> Bike:
    """Let a bike be a customer's from now on, and return it; somebody new is saved with it.

    Raises:
        ValidationError: what is known of somebody new is no customer.
    """
    if not customer.pk:
        customer.full_clean()
        customer.save()
    if bike.customer_id != customer.pk:
        bike.customer = customer
        bike.save(update_fields=["customer"])
    return bike


@transaction.atomic
def hand_back(bike: Bike, moment: dt.datetime) -> Bike:
    """Let a bike be with whom it was just before a moment, and return it.

    Where their record is gone, or it is not known, the bike stays with whom it is now.
    """
    past = bike.history.filter(history_date__lt=moment).order_by("-history_id")
    before = past.values_list("customer", flat=True).first()
    owner = Customer.objects.filter(pk=before).first()
    return hand_over(bike, owner) if owner else bike
