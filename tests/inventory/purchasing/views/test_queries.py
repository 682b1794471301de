"""How much the pages of purchasing ask of the database."""

import pytest

from tests.asking import queries_of
from tests.factories.parts import PartFactory
from tests.factories.purchasing import came, drafted, ordered, sold, used_daily
from tests.factories.suppliers import SupplierFactory
from tests.inventory.purchasing.addresses import LIST, POINTS, SHORT, url

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("shop", "printed_quickly")]


def test_pages_run_as_many_queries_for_many_lines_as_for_few(manager):
    def an_order(lines):
        supplier = SupplierFactory.create()
        parts = [used_daily(PartFactory.create(minimum=5), 2) for _ in range(lines)]
        order = ordered(*[sold(part, supplier=supplier) for part in parts], packs=4)
        came(order, *[1] * lines)
        came(order, *[1] * lines)
        return order

    def a_draft(lines):
        supplier = SupplierFactory.create()
        return drafted(*[sold(supplier=supplier) for _ in range(lines)])

    def asked(order, draft):
        return [queries_of(manager, url(name, order)) for name in ("order", "goods_in", "csv")] + [
            queries_of(manager, page)
            for page in (url("change", draft), url("add", draft), LIST, SHORT, POINTS)
        ]

    first = an_order(2), a_draft(2)
    few = asked(*first)
    assert asked(an_order(12), a_draft(12)) == few
    assert max(few) < 25
