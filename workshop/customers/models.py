"""Customers and sellers: the people outside the shop that a bike comes from or goes back to."""

from __future__ import annotations

from django.db import models


class Customer(models.Model):
    """Somebody who owns or offers a bike."""

    name = models.CharField("name", max_length=120)
    phone = models.CharField("phone", max_length=40, blank=True)
    email = models.EmailField("e-mail", blank=True)
    address = models.TextField("address", max_length=400, blank=True)
    note = models.TextField("note", max_length=1000, blank=True)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        """Order by name."""

        ordering = ("name", "pk")

    def __str__(self) -> str:
        """Return the name."""
        return self.name
