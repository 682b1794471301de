"""The list of job cards, and how it is searched and narrowed."""

from __future__ import annotations

import datetime as dt

import django_filters
import django_tables2 as tables
from django import forms
from django.db.models import QuerySet
from django.utils import timezone
from django.utils.formats import date_format
from django.utils.html import format_html
from django.utils.safestring import SafeString

from inventory.lists import with_words
from workshop.core.cardstates import CardState
from workshop.jobcards.models import JobCard
from workshop.jobcards.models.cards import STATES
from workshop.shop.templatetags.ui import stage_chip

ONLY_WIDE = {"td": {"class": "only-wide nowrap"}, "th": {"class": "only-wide"}}
SEARCHED = ("number", "quote_number", "bike__stock_no", "bike__make", "bike__model")
HERE = "here"


class CardFilter(django_filters.FilterSet):
    """A search box and the state; without one, the cards whose bikes are still here."""

    q = django_filters.CharFilter(
        label="Number of the card, the bike or the quote, or make",
        method="search",
        widget=forms.TextInput(attrs={"type": "search"}),
    )
    state = django_filters.ChoiceFilter(
        choices=[*STATES, ("all", "all, released too")],
        empty_label="not released yet",
        method="standing",
    )

    class Meta:
        model = JobCard
        fields = ("q", "state")

    @property
    def qs(self) -> QuerySet[JobCard]:
        """Return the cards found; unless a state or words are asked for, only the open ones."""
        rows: QuerySet[JobCard] = super().qs
        if self.data.get("state") or self.data.get("q"):
            return rows
        return rows.exclude(state=CardState.RELEASED.value)

    def search(self, rows: QuerySet[JobCard], _name: str, text: str) -> QuerySet[JobCard]:
        """Keep the cards in which every word stands."""
        return with_words(rows, text, SEARCHED)

    def standing(self, rows: QuerySet[JobCard], _name: str, state: str) -> QuerySet[JobCard]:
        """Keep the cards that stand there."""
        return rows if state == "all" else rows.filter(state=state)


class CardTable(tables.Table):
    """Job cards with how far each has come."""

    number = tables.Column("Card", linkify=("jobcards:card", {"pk": tables.A("pk")}))
    bike = tables.Column("Bike", order_by=("bike__make", "bike__model"))
    state = tables.Column("Stands")
    tasks_count = tables.Column("Tasks done", order_by="done_count")
    promised_on = tables.Column("Promised for")
    quote_number = tables.Column("Quote", attrs=ONLY_WIDE)

    class Meta:
        model = JobCard
        fields = ("number", "bike", "state", "tasks_count", "promised_on", "quote_number")
        template_name = "tables/lean.html"
        empty_text = "No job card is like this."

    def render_number(self, value: str) -> SafeString:
        """Return the number as it is stamped."""
        return format_html('<span class="stamp">{}</span>', value)

    def render_bike(self, record: JobCard) -> str:
        """Return the bike by number, make and model."""
        bike = record.bike
        return " ".join(filter(None, (bike.stock_no, bike.make, bike.model)))

    def render_state(self, record: JobCard) -> SafeString:
        """Return where it stands as shape and word."""
        return stage_chip(record.state, record.get_state_display())

    def render_tasks_count(self, record: JobCard) -> str:
        """Return how many tasks are done, and how many are stopped."""
        done, total, stopped = (
            getattr(record, name) for name in ("done_count", "tasks_count", "stopped_count")
        )
        if not total and record.is_check_alone:
            return "release check alone"
        return f"{done} of {total}" + (f", {stopped} stopped" if stopped else "")

    def render_promised_on(self, value: dt.date, record: JobCard) -> str:
        """Return the day, with a word where it has passed."""
        late = record.is_open and value < timezone.localdate()
        return date_format(value, "j M Y") + (", late" if late else "")
