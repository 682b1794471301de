"""Deleting and anonymising what is due, and saying so on the terminal."""

import datetime as dt

import pytest
from django.core.management import call_command
from django.db import connection
from django.utils import timezone

from quotes.provenance.models import (
    AnonymisedCustomer,
    ProvenanceCheck,
    RetentionKind,
    RetentionRun,
    SellerIdentity,
)
from quotes.provenance.verbs import apply_retention as verb
from quotes.provenance.verbs.apply_retention import NO_NAME, apply_retention, scrub_history
from quotes.quoting.models import SentDocument
from quotes.quoting.verbs.send import send
from tests.factories.bikes import BikeFactory
from tests.factories.people import CustomerFactory, UserFactory
from tests.factories.provenance import refused, rules
from tests.factories.quotes import draft
from workshop.bikes.models import Bike
from workshop.customers.models import Customer

pytestmark = pytest.mark.django_db

TODAY = dt.date(2026, 5, 20)


@pytest.fixture
def old(monkeypatch):
    """A shop with something due of each kind; today is the 20th of May 2026."""
    rules(dealt=72, bought=72, not_bought=6, idle=24)
    put(monkeypatch, "2020-02-01")
    check = refused()
    idle = CustomerFactory.create(name="Idle Hands")
    revision = draft(customer=CustomerFactory.create(name="Quentin Quote", phone="01632 960999"))
    send(revision, UserFactory.create(desk=True))
    put(monkeypatch, "2026-05-20")
    return check, idle, revision


def put(monkeypatch, day):
    noon = dt.datetime.fromisoformat(day).replace(hour=12, tzinfo=dt.UTC)
    monkeypatch.setattr(timezone, "now", lambda: noon)


def everything(but: tuple[str, ...] = ()):
    """Every text in the database but in some tables."""
    found = []
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names():
            if table not in but:
                cursor.execute(f'SELECT * FROM "{table}"')  # noqa: S608 - our own tables
                found.append(str(cursor.fetchall()))
    return " ".join(found)


def test_what_is_due_is_done_and_counted(old):
    check, idle, revision = old
    run = apply_retention(TODAY)
    assert not SellerIdentity.objects.exists()
    assert not Customer.objects.filter(pk=idle.pk).exists()
    customer = Customer.objects.get(pk=revision.quote.customer_id)
    assert (customer.name, customer.phone, customer.email) == (NO_NAME, "", "")
    assert (run.identities_deleted, run.customers_deleted, run.customers_anonymised) == (1, 1, 2)
    assert run.kept == 1
    assert ProvenanceCheck.objects.get(pk=check.pk).refusal == "Nothing fits."


def test_names_and_addresses_are_gone_from_the_whole_database(old):
    apply_retention(TODAY)
    left = everything(but=("quoting_sentdocument",))
    for gone in ("Ada Moss", "Mill Row", "QXJK", "Idle Hands", "Quentin Quote", "960999"):
        assert gone not in left, gone


def test_what_was_sent_stays_to_the_byte(old):
    before = bytes(SentDocument.objects.get().pdf)
    apply_retention(TODAY)
    assert bytes(SentDocument.objects.get().pdf) == before


def test_a_second_run_finds_nothing(old):
    apply_retention(TODAY)
    again = apply_retention(TODAY)
    assert (again.identities_deleted, again.customers_deleted, again.customers_anonymised) == (
        *(0, 0),
        0,
    )
    assert AnonymisedCustomer.objects.count() == 2


def test_where_it_breaks_nothing_is_done(old, monkeypatch):
    def fail(*_args):
        raise RuntimeError

    monkeypatch.setattr(verb, "scrub_history", fail)
    with pytest.raises(RuntimeError):
        apply_retention(TODAY)
    assert SellerIdentity.objects.exists()
    assert not RetentionRun.objects.exists()
    assert "Quentin Quote" in everything(but=("quoting_sentdocument",))


def test_the_history_of_records_is_scrubbed_where_they_have_one():
    one, other = BikeFactory.create(note="ring Ada"), BikeFactory.create(note="ring Ben")
    one.note = "ring Ada, not Tom"
    one.save()
    assert scrub_history(Bike, [one.pk], {"note": ""}) == 2
    assert set(one.history.values_list("note", flat=True)) == {""}
    assert other.history.get().note == "ring Ben"
    assert scrub_history(Customer, [1], {"name": ""}) == 0


def test_a_dry_run_says_what_is_due_and_changes_nothing(old, capsys):
    before = everything()
    call_command("retention")
    said = capsys.readouterr().out
    for words in (
        "Due on 20 May 2026:",
        "Who offered a bike that was not bought, after 6 months: 1",
        "Ada Moss, B0001, since 1 February 2020",
        "Customers without a bike or a quote, after 24 months: 1",
        "Kept though it is due: 1",
        "the PDF as it was sent",
        "Nothing has been changed.",
    ):
        assert words in said
    assert everything() == before


def test_the_command_does_it_where_asked_to(old, capsys):
    call_command("retention", "--apply")
    assert "Done: 1 identities deleted, 1 customers deleted, 2 customers anonymised" in (
        capsys.readouterr().out
    )
    assert RetentionRun.objects.count() == 1


def test_without_rules_the_command_says_that_nothing_is_done(capsys):
    call_command("retention")
    assert capsys.readouterr().out.count("no rule says how long") == len(RetentionKind)


def test_every_kind_has_a_rule_in_the_catalogue(catalogue, capsys):
    call_command("retention")
    assert "no rule" not in capsys.readouterr().out
