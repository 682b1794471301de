"""The pages at the bench: job cards in work and to be checked, the board, hours, labels, papers."""

from __future__ import annotations

import datetime as dt
from typing import Any

from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from django.utils import timezone

from quotes.acceptance.selectors import DECIDABLE
from quotes.acceptance.verbs.open_card import open_card_for
from quotes.acceptance.verbs.record import record_answer
from quotes.quoting.models import Revision
from quotes.quoting.verbs.send import send
from tests.factories.inspections import jpeg
from tests.factories.jobcards import a_key
from workshop.inspections.models import Fault
from workshop.jobcards.models import JobCard, TaskState
from workshop.jobcards.verbs.report_extra import report_extra
from workshop.jobcards.verbs.tick import tick
from workshop.jobcards.verbs.times import start_time
from workshop.people.models import User


def bench_pages(draft: Revision, other: Revision, by: User) -> dict[str, str]:
    """Have the quotes accepted: one card is in work and asks for more, of the other all is done."""
    working, checking = card_of(draft, by), card_of(other, by)
    torqued = next(each for each in working.tasks.all() if each.has_torque)
    start_time(working.tasks.all()[0], by=by, key=a_key())
    found = Fault.objects.get(code="grips-worn")
    more: dict[str, Any] = {
        "note": "Seen when the tape came off.",
        "photos": [a_photo()],
        "stops": [torqued.pk],
    }
    report_extra(working, found, by=by, key=a_key(), **more)
    for task in checking.tasks.exclude(state=TaskState.DONE):
        tick(task, by=by, key=a_key(), base_version=task.version)
    return {
        "jobcards:list": reverse("jobcards:list"),
        "job card": reverse("jobcards:card", args=(working.pk,)),
        "task": reverse("jobcards:task", args=(working.pk, torqued.pk)),
        "parts of a card": reverse("jobcards:parts", args=(working.pk,)),
        "extra work": reverse("jobcards:extra", args=(working.pk,)),
        "extra work there": reverse("jobcards:extra_at", args=(working.pk, "saddle")),
        "card from paper": reverse("jobcards:pen", args=(working.pk,)),
        "release check": reverse("jobcards:release", args=(checking.pk,)),
        "bench:board": reverse("bench:board"),
        "why that day": reverse("bench:promise", args=(working.pk,)),
        "bench:times": reverse("bench:times"),
        "bench:hours": reverse("bench:hours"),
        "hours of a person": reverse("bench:person", args=(by.pk,)),
        "bench:settings": reverse("bench:settings"),
        "labels:bikes": reverse("labels:bikes"),
        "labels:parts": reverse("labels:parts"),
    }


def a_photo() -> SimpleUploadedFile:
    """A photo as a phone sends it."""
    return SimpleUploadedFile("found.jpg", jpeg(640, 480), "image/jpeg")


def card_of(draft: Revision, by: User) -> JobCard:
    """Send a draft, have all of it accepted, and open its job card."""
    send(draft, by)
    lines = [line for line in draft.lines.all() if line.kind in DECIDABLE and not line.left_out]
    record_answer(draft, decided_by="Ms Vane", by=by, accepted_lines={each.pk for each in lines})
    due = timezone.localdate() + dt.timedelta(days=2)
    return open_card_for(draft, by=by, promised_on=due)
