"""Opens a job card whose number was scanned or typed."""

from __future__ import annotations

from django.urls import reverse

from workshop.jobcards.models import JobCard


def card_scanned(code: str) -> str | None:
    """Return the page of the card with this number."""
    pk = JobCard.objects.filter(number=code.upper()).values_list("pk", flat=True).first()
    return reverse("jobcards:card", args=(pk,)) if pk else None
