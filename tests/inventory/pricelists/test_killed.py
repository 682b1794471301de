"""A program killed while it reads or applies a list leaves nothing applied, and can go on."""

import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from django.conf import settings as site
from django.db import connection

from inventory.pricelists.models import Incoming, State
from inventory.pricelists.verbs.apply import apply
from inventory.pricelists.verbs.discard import discard
from inventory.pricelists.verbs.read_on import read_on
from inventory.suppliers.models import PriceList, SupplierPart
from tests.factories.people import UserFactory
from tests.factories.suppliers import ArticleFactory, SupplierFactory, csv_of, read, sent, settled

pytestmark = pytest.mark.django_db(transaction=True)

KILLED_READING = """
from inventory.pricelists.verbs import read_on as verb
from inventory.pricelists.models import Incoming
kept = []
def keep(incoming, portion, real=verb.keep):
    if kept:
        from django.db import transaction
        with transaction.atomic():
            real(incoming, portion)
            os.kill(os.getpid(), signal.SIGKILL)
    kept.append(portion)
    return real(incoming, portion)
verb.keep = keep
verb.read_on(Incoming.objects.get(), seconds=60)
"""
KILLED_APPLYING = """
from inventory.pricelists.verbs import apply as verb
from inventory.pricelists.models import Incoming
def killed(*_args, **_kwargs):
    from inventory.suppliers.models import SupplierPart
    assert SupplierPart.objects.filter(valid_until=None).count() == 3000
    os.kill(os.getpid(), signal.SIGKILL)
verb.take_costs = killed
incoming = Incoming.objects.get()
verb.apply(incoming, by=incoming.sent_by, currency="GBP")
"""
ROWS = [(f"A{n}", "Bell", f"{n + 1}.50", "", "", "") for n in range(3_000)]


def killed(program, media):
    """Run a program on the tests' database until it kills itself."""
    lines = "import os, signal, django\ndjango.setup()\n" + program
    given = {
        **os.environ,
        "DJANGO_SETTINGS_MODULE": "workshop.settings",
        "DATABASE_URL": database_url(),
        "MEDIA_ROOT": str(media),
    }
    done = subprocess.run(
        [sys.executable, "-c", lines],
        env=given,
        cwd=Path(site.BASE_DIR),
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == -signal.SIGKILL, done.stderr


def database_url():
    """Return the address of the tests' database."""
    facts = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{facts['NAME']}"
    host = f"{facts['HOST']}:{facts['PORT']}" if facts["PORT"] else facts["HOST"]
    who = f"{facts['USER']}:{facts['PASSWORD']}" if facts["PASSWORD"] else facts["USER"]
    return f"postgres://{who}@{host}/{facts['NAME']}"


def test_killed_while_reading_it_goes_on_behind_the_last_portion(settings):
    supplier = SupplierFactory.create()
    incoming = settled(sent(supplier, csv_of(ROWS)))
    killed(KILLED_READING, settings.MEDIA_ROOT)
    incoming.refresh_from_db()
    assert incoming.state == State.READING
    assert incoming.rows.count() == 2_000
    assert not SupplierPart.objects.exists()
    while incoming.state == State.READING:
        incoming = read_on(incoming)
    numbers = list(incoming.rows.values_list("number", flat=True))
    assert numbers == list(range(2, 3_002))
    assert incoming.counts == {"new": 3_000}


def test_killed_while_applying_nothing_is_applied_and_it_can_be_applied_again(settings):
    supplier = SupplierFactory.create()
    old = ArticleFactory.create(supplier=supplier, code="A7", list_price_net=8)
    gone = ArticleFactory.create(supplier=supplier, code="gone")
    incoming = read(supplier, csv_of(ROWS))
    killed(KILLED_APPLYING, settings.MEDIA_ROOT)
    assert set(SupplierPart.objects.filter(valid_until=None)) == {old, gone}
    assert not PriceList.objects.exists()
    incoming.refresh_from_db()
    assert incoming.state == State.READ
    made = apply(incoming, by=UserFactory.create(), currency="GBP")
    assert (made.added, made.changed, made.ended) == (2_999, 1, 1)
    assert SupplierPart.objects.filter(valid_until=None).count() == 3_000


def test_killed_while_reading_it_can_be_discarded(settings):
    incoming = settled(sent(SupplierFactory.create(), csv_of(ROWS)))
    killed(KILLED_READING, settings.MEDIA_ROOT)
    discard(incoming)
    assert Incoming.objects.get().state == State.DISCARDED
    assert not incoming.rows.exists()
    assert not list((settings.MEDIA_ROOT / "price-lists").iterdir())
