"""The triggers can be taken away for a migration and put back."""

import pytest
from django.db import IntegrityError, connection

from quotes.quoting.freezing import freeze, thaw
from quotes.quoting.models import Line
from quotes.quoting.verbs.send import send
from tests.factories import quotes as made
from tests.factories.people import UserFactory


@pytest.mark.django_db(transaction=True)
def test_thawed_rows_can_be_changed_and_frozen_again(monkeypatch):
    monkeypatch.setattr("quotes.print.pdf.render_revision", lambda page: b"%PDF")
    by = UserFactory.create(manager=True)
    made.priced_shop()
    draft = made.draft(made.fault("play", made.remedy("adjust")), by=by)
    send(draft, by)
    lines = Line.objects.filter(revision=draft)
    try:
        with connection.schema_editor() as editor:
            thaw(None, editor)
        assert lines.update(unit="pc") == 1
    finally:
        with connection.schema_editor() as editor:
            freeze(None, editor)
    with pytest.raises(IntegrityError, match="issued"):
        lines.update(unit="min")
