"""Stock, suppliers and orders with something on every page, in words as long as they come."""

from __future__ import annotations

from decimal import Decimal

from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from inventory.parts.models import FitFacts, Part
from inventory.pricelists.models import Incoming
from inventory.pricelists.verbs.send_in import send_in
from inventory.purchasing.models import PurchaseOrder
from inventory.stock.models import StockMovement
from inventory.stock.verbs.note_count import note_count
from inventory.stock.verbs.reserve import reserve
from inventory.stock.verbs.start_stocktake import start_stocktake
from inventory.suppliers.models import Supplier, SupplierPart
from tests.factories.parts import PartFactory
from tests.factories.purchasing import came, drafted, ordered, sold
from tests.factories.stock import a_key, come_in, take
from tests.factories.suppliers import DAY, SupplierFactory, csv_of, read
from workshop.people.models import User

PLACE = "Mezzanine shelf 12, drawer B-0047"
MOVES = ("goods-in", "draw", "return", "reserve", "scrap", "strip")
LISTS = (
    "stock:list",
    "stock:report",
    "stock:method",
    "stock:stocktakes",
    "stock:many",
    "margins:parts",
    "suppliers:list",
    "suppliers:new",
    "pricelists:list",
    "purchasing:list",
    "purchasing:short",
    "purchasing:points",
    "purchasing:settings",
)


def stock_pages(by: User) -> dict[str, str]:
    """Fill the shelves and return the pages of stock and purchasing, each by a name of its own."""
    part = a_part(by)
    draw = take(part, 3, by=by, days=1, reference="B0001")
    reserve(part, quantity=Decimal(1), reference="Q0001 for Ms Vane", by=by, key=a_key())
    counting = start_stocktake(PLACE, by=by)
    note_count(counting, part, counted=Decimal(5), by=by)
    return (
        {name: reverse(name) for name in LISTS}
        | of_part(part, draw)
        | {
            "counting": reverse("stock:stocktake", args=(counting.pk,)),
            "differences": reverse("stock:differences", args=(counting.pk,)),
            "many looked over": f"{reverse('stock:many')}?{MANY}",
        }
        | of_supplier(part, by)
    )


MANY = "look=1&which=all&to-price=share&to-percent=7.5&to-ending=ninety_nine&to-place=Cellar"


def a_part(by: User) -> Part:
    """A part of which there are some, too few, with all that is kept of one."""
    part = PartFactory.create(
        code="hub-front-74-aluminium-black-anodised-28-holes",
        name="Vorderradnabe für Falträder, Leichtlauf, 74 mm, 28 Loch, schwarz eloxiert",
        place=PLACE,
        minimum=Decimal(40),
        markup=Decimal("0.6"),
        ending="ninety_nine",
        gtin="6291041500213",
        pack_size=10,
        note="Grease it before it is built in; the sealed ones want none.",
    )
    FitFacts.objects.create(part=part, axle_mm=Decimal(74), bead_seat_mm=349)
    come_in(part, 12, "11.3750", by=by, days=20, reference="Lieferschein 2026-000481")
    return part


def of_part(part: Part, draw: StockMovement) -> dict[str, str]:
    """Return the pages of a part."""
    moves = {f"to {kind}": reverse("stock:move", args=(part.pk, kind)) for kind in MOVES}
    return moves | {
        "part": reverse("stock:part", args=(part.pk,)),
        "part to change": reverse("stock:facts", args=(part.pk,)),
        "does it fit": reverse("stock:fit", args=(part.pk,)) + "?number=B0001",
        "take back": reverse("stock:take_back", args=(draw.pk,)),
    }


def of_supplier(part: Part, by: User) -> dict[str, str]:
    """Return the pages of a supplier, its price lists and the orders sent to it."""
    maker = SupplierFactory.create(
        name="Großhandelsgesellschaft für Fahrradteile Nordrhein mbH",
        email="bestellungen-und-reklamationen@grosshandel.example",
        carriage_free_net=Decimal(250),
        carriage_net=Decimal("7.90"),
    )
    article = sold(part, supplier=maker, code="NAB-VR-074-28-SW", name=part.name, pack=10)
    order = ordered(article, packs=6, by=by)
    came(order, 30, by=by)
    read(maker, csv_of([("NAB-VR-074-28-SW", "Vorderradnabe", "99.00", "6291041500213", 10, "")]))
    unread = send_in(
        maker, SimpleUploadedFile("preisliste.csv", csv_of([("A1", "X", "1,25", "", 1, "")])),
        by=by, today=DAY,
    )  # fmt: skip
    return of_article(maker, article) | of_orders(drafted(article, by=by), order) | of_lists(unread)


def of_article(maker: Supplier, article: SupplierPart) -> dict[str, str]:
    """Return the pages of a supplier and of what it sells."""
    return {
        "supplier": reverse("suppliers:detail", args=(maker.pk,)),
        "supplier to change": reverse("suppliers:edit", args=(maker.pk,)),
        "articles": reverse("suppliers:articles", args=(maker.pk,)),
        "article": reverse("suppliers:article", args=(article.pk,)),
        "match": reverse("suppliers:match", args=(article.pk,)),
        "price list to send": f"{reverse('pricelists:send', args=(maker.pk,))}",
    }


def of_orders(draft: PurchaseOrder, order: PurchaseOrder) -> dict[str, str]:
    """Return the pages of a draft and of an order of which something has come."""
    return {
        "order in draft": reverse("purchasing:order", args=(draft.pk,)),
        "order to change": reverse("purchasing:change", args=(draft.pk,)),
        "order to add to": reverse("purchasing:add", args=(draft.pk,)),
        "order": reverse("purchasing:order", args=(order.pk,)),
        "goods in": reverse("purchasing:goods_in", args=(order.pk,)),
        "order to end": reverse("purchasing:end", args=(order.pk,)),
    }


def of_lists(unread: Incoming) -> dict[str, str]:
    """Return the pages of a price list that is not read yet, and of one that is."""
    whole = Incoming.objects.exclude(pk=unread.pk).get()
    return {
        "price list's columns": reverse("pricelists:columns", args=(unread.pk,)),
        "price list": reverse("pricelists:page", args=(whole.pk,)),
    }
