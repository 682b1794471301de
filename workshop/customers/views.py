"""Pages about customers."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render

from inventory.lists import listing, show_list
from workshop.customers.forms import CustomerForm
from workshop.customers.models import Customer
from workshop.customers.selectors import customers_for_list
from workshop.customers.tables import CustomerFilter, CustomerTable


def customer_list(request: HttpRequest) -> HttpResponseBase:
    """Show all customers, searched and sorted."""
    context = listing(request, customers_for_list(), table=CustomerTable, filters=CustomerFilter)
    return show_list(request, "workshop/customers/list.html", context)


def detail(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a customer with their bikes."""
    customer = get_object_or_404(Customer, pk=pk)
    context = {"customer": customer, "bikes": list(customer.bikes.all())}
    return render(request, "workshop/customers/detail.html", context)


def new(request: HttpRequest) -> HttpResponse:
    """Enter a customer."""
    return edited(request, Customer())


def edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change what is kept about a customer."""
    return edited(request, get_object_or_404(Customer, pk=pk))


def edited(request: HttpRequest, customer: Customer) -> HttpResponse:
    """Show the form, or save it and go to the customer's page."""
    form = CustomerForm(request.POST or None, instance=customer)
    if request.method == "POST" and form.is_valid():
        saved = form.save()
        messages.success(request, f"{saved} is saved.")
        return redirect("customers:detail", saved.pk)
    status = 422 if form.errors else 200
    context = {"form": form, "customer": customer}
    return render(request, "workshop/customers/form.html", context, status=status)
