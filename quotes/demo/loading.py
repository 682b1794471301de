"""Builds the demo shop by the same verbs that people use, day by day."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import timedelta
from decimal import Decimal
from functools import cache
from unittest import mock
from uuid import uuid4

from django.contrib.auth.hashers import make_password
from django.core.files.base import ContentFile
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.utils import timezone

from inventory.purchasing.demo import FIRST, SECOND, deliver_part, enter_suppliers, order
from inventory.stock.demo import stock_up
from quotes.demo.benching import leave_at_bench, start_clocks
from quotes.demo.buying import pool_since
from quotes.demo.comparing import load_comparables
from quotes.demo.fitting import Sizes, load_part_sizes, measure_as_its_model, model_sizes
from quotes.demo.repairing import look_over, repair
from quotes.demo.rows import FOLDER, BikeRow, DemoError, bike_rows, read_csv, read_json
from quotes.demo.selling import carry_on
from quotes.demo.trading import check_provenance, sale_rows, sell_all
from quotes.demo.walking import WalkBook
from workshop.bench.demo import set_bench_hours
from workshop.bikes.models import Bike, Stage
from workshop.bikes.photos import clean_photo
from workshop.bikes.verbs.book_in import book_in
from workshop.customers.models import Customer
from workshop.people.models import Role, User
from workshop.shop.models import Shop

Say = Callable[[str], object]
EVERY = 12
ENTERED_AFTER_DAYS = 14
"""Bikes bought later than that wait for somebody to enter them in the stock book."""
NOT_MEASURED = 5
"""Of so many bikes one has not been measured."""


@transaction.atomic
def load_demo(say: Say | None = None) -> int:
    """Load shop, people, customers and bikes; return how many bikes.

    Raises:
        DemoError: there is a shop already, or the files don't fit the catalogue.
    """
    if Shop.objects.exists() or Bike.objects.exists():
        raise DemoError("This database holds a shop already; the demo goes into an empty one.")
    Shop.objects.create(pk=1, **read_json("shop.json"))
    staff = _people()
    set_bench_hours(staff[Role.MECHANIC])
    customers = _customers()
    load_comparables(by=staff[Role.MANAGER][0])
    stock_up(by=staff[Role.MANAGER][0])
    load_part_sizes(staff[Role.MANAGER][0])
    _purchases(staff[Role.MANAGER][0])
    pool_since()
    book = WalkBook.from_catalogue()
    rows, sizes = bike_rows(), model_sizes()
    for number, row in enumerate(rows):
        with days_ago(row.days_ago):
            _bike(row, customers, staff, book, sizes, number)
        if say and number % EVERY == 0:
            say(f"Demo shop: bike {number + 1} of {len(rows)} …")
    sell_all(rows, staff[Role.DESK][0], staff[Role.MANAGER][0], days_ago)
    start_clocks(staff[Role.MECHANIC])
    return len(rows)


@contextmanager
def days_ago(days: int) -> Iterator[None]:
    """Let everything inside happen that many days ago: the demo's bikes came one by one."""
    moment = timezone.now() - timedelta(days=days)
    with mock.patch.object(timezone, "now", return_value=moment):
        yield


def _purchases(by: User) -> None:
    """Enter suppliers; order twice, and take in part of the first order."""
    enter_suppliers()
    shop = Shop.objects.get()
    with days_ago(9):
        first = order(FIRST, by=by, shop=shop)
    with days_ago(5):
        deliver_part(first, by=by)
    with days_ago(2):
        order(SECOND, by=by, shop=shop)


def _people() -> dict[Role, list[User]]:
    """Create the people; they share one password, hashed once."""
    data = read_json("people.json")
    password = make_password(data["password"])
    staff: dict[Role, list[User]] = {role: [] for role in Role}
    for row in data["people"]:
        first, _, last = row["name"].partition(" ")
        person = User.objects.create(
            username=row["username"],
            first_name=first,
            last_name=last,
            role=row["role"],
            password=password,
        )
        staff[Role(row["role"])].append(person)
    return staff


def _customers() -> dict[str, Customer]:
    return {row["name"]: Customer.objects.create(**row) for row in read_csv("customers.csv")}


def _bike(
    row: BikeRow,
    customers: dict[str, Customer],
    staff: dict[Role, list[User]],
    book: WalkBook,
    sizes: Sizes,
    number: int,
) -> None:
    """Book one bike in and take it as far as its row says."""
    desk, mechanic, manager = (
        staff[role][number % len(staff[role])] for role in (Role.DESK, Role.MECHANIC, Role.MANAGER)
    )
    fields = dict(row.fields)
    if row.photo:
        fields["photo"] = ContentFile(_picture(row.photo), name=f"{uuid4().hex}.jpg")
    bike = book_in(by=desk, customer=customers[row.customer], **fields)
    if row.stage == Stage.BOOKED_IN:
        return
    if number % NOT_MEASURED:
        measure_as_its_model(bike, sizes)
    inspection = book.walk(bike, row.found, mechanic, half=row.stage == Stage.INSPECTING)
    if row.stage not in {Stage.INSPECTING, Stage.INSPECTED}:
        paid = _paid(row)
        if paid is not None:
            check_provenance(bike, desk, mechanic)
        carry_on(row, inspection, desk, manager, paid)
    other = staff[Role.MECHANIC][(number + 1) % len(staff[Role.MECHANIC])]
    if row.check_alone:
        bike.refresh_from_db()
        look_over(bike, desk, other, half=row.stage == Stage.IN_WORK)
    elif row.stage == Stage.IN_WORK:
        leave_at_bench(row, inspection, desk, mechanic, other)
    elif row.stage in {Stage.RELEASED, Stage.SOLD}:
        repair(row, inspection, desk, mechanic, other)


@cache
def _picture(name: str) -> bytes:
    """Return one of the demo's few pictures, cleaned as an upload is; many bikes share it."""
    picture = (FOLDER / "photos" / name).read_bytes()
    cleaned: bytes = clean_photo(SimpleUploadedFile(name, picture, "image/jpeg")).read()
    return cleaned


def _paid(row: BikeRow) -> Decimal | None:
    """Return what was paid for a bike; None where it is not in the stock book yet."""
    if row.stage == Stage.SOLD:
        return sale_rows()[row.fields["frame_number"]].paid
    entered = row.stage == Stage.BOUGHT and row.days_ago > ENTERED_AFTER_DAYS
    return row.fields["asking_price"] if entered or row.check_alone else None
