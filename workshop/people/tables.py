"""The list of people."""

from __future__ import annotations

import django_tables2 as tables

from workshop.people.models import User


class PersonTable(tables.Table):
    """Everybody with a login, their role and when they last signed in."""

    username = tables.Column("Login", linkify=("people:edit", {"pk": tables.A("pk")}))
    last_name = tables.Column("Name", order_by=("last_name", "first_name"), empty_values=())
    is_active = tables.Column("May sign in")
    last_login = tables.DateTimeColumn(verbose_name="Last signed in", format="j M Y, H:i")

    class Meta:
        model = User
        fields = ("username", "last_name", "role", "is_active", "last_login")
        template_name = "tables/lean.html"

    def render_last_name(self, record: User) -> str:
        """Return the full name."""
        return record.get_full_name() or "–"

    def render_is_active(self, *, value: bool) -> str:
        """Return yes or no in words."""
        return "yes" if value else "no"
