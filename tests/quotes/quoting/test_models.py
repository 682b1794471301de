"""What has been issued stays as it is: the models refuse, and so does the database itself."""

import datetime as dt
from decimal import Decimal

import pytest
from django.db import IntegrityError, connection, transaction
from django.db.models import F
from django.utils import timezone

from quotes.quoting.models import (
    FrozenError,
    Line,
    LineChange,
    LineKind,
    QuotedFinding,
    Revision,
    SentDocument,
    State,
)
from quotes.quoting.verbs.change_line import change_line
from quotes.quoting.verbs.send import send
from tests.factories import quotes as made

pytestmark = pytest.mark.django_db


@pytest.fixture
def sent(manager):
    """A sent revision with a line changed by hand."""
    draft = made.draft(by=manager)
    change_line(draft.lines.get(kind="labour"), quantity=Decimal(20), reason="stiff", by=manager)
    send(draft, manager)
    return Revision.objects.get(pk=draft.pk)


def refused(act):
    """See that the database refuses, whatever the models say."""
    with pytest.raises(IntegrityError, match=r"issued|kept as it is"), transaction.atomic():
        act()


def update(rows, **values):
    return lambda: rows.update(**values)


@pytest.mark.parametrize(
    "values",
    [
        {"gross": 1},
        {"net": Decimal("0.01")},
        {"message": "changed"},
        {"valid_until": dt.date(2099, 1, 1)},
        {"valid_until": None},
        {"no_price": True},
        {"not_tested": [{"name": "x", "reason": "y"}]},
        {"sent_at": timezone.now()},
        {"number": 7},
        {"state": State.DRAFT},
        {"state": State.ACCEPTED, "gross": 1},
    ],
)
def test_the_database_refuses_to_change_a_sent_revision(sent, values):
    before = Revision.objects.filter(pk=sent.pk).values().get()
    refused(update(Revision.objects.filter(pk=sent.pk), **values))
    assert Revision.objects.filter(pk=sent.pk).values().get() == before


@pytest.mark.parametrize(
    "state", [State.ACCEPTED, State.PART_ACCEPTED, State.REFUSED, State.SUPERSEDED]
)
def test_a_sent_revision_moves_forward_once_and_never_back(sent, state):
    rows = Revision.objects.filter(pk=sent.pk)
    rows.update(state=state)
    assert rows.get().state == state
    for back in set(State) - {state}:
        refused(update(rows, state=back))


def test_the_database_refuses_to_change_its_rows(sent):
    refused(update(Line.objects.filter(revision=sent), net=1))
    refused(update(Line.objects.filter(revision=sent), left_out=True, reason="x"))
    refused(update(QuotedFinding.objects.filter(revision=sent), importance="could"))
    refused(update(QuotedFinding.objects.filter(revision=sent), words="x"))
    refused(update(LineChange.objects.filter(revision=sent), reason="x"))
    links = Line.findings.through.objects.filter(line__revision=sent)
    refused(update(links, line_id=F("line_id")))
    refused(update(links.filter(line__kind="part"), line_id=2**40))


def test_the_database_refuses_to_add_rows(sent, manager):
    line = sent.lines.first()
    row = sent.findings.get()
    line.pk, line.key, line._state.adding = None, "hand:new", True
    refused(lambda: Line.objects.bulk_create([line]))
    row.pk, row._state.adding = None, True
    refused(lambda: QuotedFinding.objects.bulk_create([row]))
    change = LineChange(revision=sent, key="x", reason="x", by=manager)
    refused(lambda: LineChange.objects.bulk_create([change]))
    stored = sent.lines.first()
    refused(
        lambda: Line.findings.through.objects.bulk_create(
            [Line.findings.through(line=stored, quotedfinding=sent.findings.get())]
        )
    )


def test_the_database_refuses_to_move_a_row_from_or_to_a_sent_revision(sent, manager):
    draft = made.draft(made.fault("other", made.remedy("cure-other")), by=manager)
    refused(update(sent.lines.filter(kind="part"), revision=draft))
    refused(update(draft.lines.all(), revision=sent))


def test_the_database_refuses_to_change_the_bytes_that_were_sent(sent):
    refused(update(SentDocument.objects.filter(revision=sent), pdf=b"other"))
    refused(update(SentDocument.objects.filter(revision=sent), sha256="0" * 64))


@pytest.mark.postgres
@pytest.mark.parametrize(
    "table",
    ["quoting_line_findings", "quoting_linechange", "quoting_sentdocument"],
)
def test_postgresql_refuses_to_delete_what_was_issued(sent, table):
    def delete():
        with connection.cursor() as cursor:
            cursor.execute(f"DELETE FROM {table}")  # noqa: S608 - our own names

    refused(delete)


def test_a_draft_may_be_changed_and_deleted(draft):
    Line.objects.filter(revision=draft).update(net=1)
    QuotedFinding.objects.filter(revision=draft).update(words="x")
    draft.delete()
    assert not Line.objects.exists()


def test_the_models_refuse_with_what_to_do_instead(sent):
    says = "Q0001 revision 1 is sent and stays as it is. Make a new revision to change it."
    line, row, change = sent.lines.first(), sent.findings.get(), sent.changes.get()
    document = SentDocument.objects.get()
    for act in (
        line.save,
        line.delete,
        row.save,
        row.delete,
        change.save,
        change.delete,
        sent.save,
        sent.delete,
        lambda: sent.save(update_fields=["message"]),
        Line.objects.filter(revision=sent).delete,
        QuotedFinding.objects.all().delete,
    ):
        with pytest.raises(FrozenError) as caught:
            act()
        assert str(caught.value) == says
    for act in (document.save, document.delete):
        with pytest.raises(FrozenError, match="kept as it was sent"):
            act()
    assert Line.objects.filter(revision=sent).count() == 3


def test_only_one_draft_and_one_sent_revision_a_quote(draft, manager):
    with pytest.raises(IntegrityError), transaction.atomic():
        Revision.objects.create(
            quote=draft.quote, number=2, priced_on=draft.priced_on, created_by=manager
        )


@pytest.mark.parametrize(
    "values",
    [
        {"kind": LineKind.PART, "net": -1},
        {"kind": LineKind.HAND, "reason": ""},
        {"left_out": True, "reason": ""},
    ],
)
def test_the_database_refuses_lines_that_make_no_sense(draft, values):
    with pytest.raises(IntegrityError), transaction.atomic():
        Line.objects.filter(revision=draft, kind="part").update(**values)
