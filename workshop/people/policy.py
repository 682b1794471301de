"""Who may open what: every URL by name, the roles that may read it and those that may write.

A URL that is not named here is refused to everybody. Reading is GET and HEAD; writing is any
other method. The accountant reads and never writes.
"""

from __future__ import annotations

from dataclasses import dataclass

from workshop.people.models import Role

MANAGER = frozenset({Role.MANAGER})
OFFICE = frozenset({Role.MANAGER, Role.DESK})
BENCH = frozenset({Role.MANAGER, Role.DESK, Role.MECHANIC})
WRENCH = frozenset({Role.MANAGER, Role.MECHANIC})
BOOKS = frozenset({Role.MANAGER, Role.ACCOUNTANT})
COUNTER = frozenset({Role.MANAGER, Role.DESK, Role.ACCOUNTANT})
EVERYONE = frozenset(Role)
NOBODY: frozenset[Role] = frozenset()


@dataclass(frozen=True, slots=True)
class Access:
    """The roles that may read and those that may write at a URL."""

    read: frozenset[Role]
    write: frozenset[Role] = NOBODY

    def allows(self, role: str, method: str) -> bool:
        """Tell whether a role may use the method."""
        return role in (self.read if method in {"GET", "HEAD", "OPTIONS"} else self.write)


PUBLIC = frozenset({"login"})
"""The only URLs open to a person who is not signed in."""

POLICY: dict[str, Access] = {
    "home": Access(EVERYONE),
    "logout": Access(NOBODY, EVERYONE),
    "password_change": Access(EVERYONE, EVERYONE),
    # the browser's worker, and what it asks before it sends what was done without a connection
    "offline:worker": Access(EVERYONE),
    "offline:who": Access(EVERYONE),
    # people and the shop
    "people:list": Access(MANAGER),
    "people:new": Access(MANAGER, MANAGER),
    "people:edit": Access(MANAGER, MANAGER),
    "shop:edit": Access(BOOKS, MANAGER),
    # customers
    "customers:list": Access(COUNTER),
    "customers:detail": Access(COUNTER),
    "customers:new": Access(OFFICE, OFFICE),
    "customers:edit": Access(OFFICE, OFFICE),
    # bikes
    "bikes:list": Access(EVERYONE),
    "bikes:book_in": Access(OFFICE, OFFICE),
    "bikes:detail": Access(EVERYONE),
    "bikes:edit": Access(OFFICE, OFFICE),
    "bikes:photo": Access(EVERYONE),
    "bikes:sizes": Access(EVERYONE, BENCH),
    "bikes:sizes_taken": Access(NOBODY, BENCH),
    # inspections
    "inspections:start": Access(NOBODY, BENCH),
    "inspections:overview": Access(EVERYONE),
    "inspections:walk": Access(BENCH),
    "inspections:checkpoint": Access(BENCH, BENCH),
    "inspections:judge": Access(BENCH),
    "inspections:sound": Access(NOBODY, BENCH),
    "inspections:take_back": Access(NOBODY, BENCH),
    "inspections:photo": Access(EVERYONE),
    "inspections:photo_add": Access(NOBODY, BENCH),
    "inspections:photo_remove": Access(NOBODY, BENCH),
    "inspections:finish": Access(NOBODY, BENCH),
    "inspections:reopen": Access(NOBODY, BENCH),
    # catalogue
    "catalogue:index": Access(EVERYONE),
    "catalogue:list": Access(EVERYONE),
    "catalogue:new": Access(MANAGER, MANAGER),
    "catalogue:edit": Access(MANAGER, MANAGER),
    "catalogue:history": Access(BOOKS),
    # suppliers and their price lists
    "suppliers:list": Access(COUNTER),
    "suppliers:new": Access(MANAGER, MANAGER),
    "suppliers:detail": Access(COUNTER),
    "suppliers:edit": Access(MANAGER, MANAGER),
    "suppliers:history": Access(BOOKS),
    "suppliers:articles": Access(BOOKS),
    "suppliers:article": Access(BOOKS),
    "suppliers:match": Access(MANAGER, MANAGER),
    "pricelists:list": Access(BOOKS),
    "pricelists:send": Access(MANAGER, MANAGER),
    "pricelists:columns": Access(MANAGER, MANAGER),
    "pricelists:page": Access(BOOKS),
    "pricelists:step": Access(NOBODY, MANAGER),
    "pricelists:anew": Access(NOBODY, MANAGER),
    "pricelists:problems": Access(BOOKS),
    "pricelists:apply": Access(NOBODY, MANAGER),
    "pricelists:discard": Access(NOBODY, MANAGER),
    # stock
    "stock:list": Access(EVERYONE),
    "stock:part": Access(EVERYONE),
    "stock:offers": Access(EVERYONE),
    "stock:fit": Access(EVERYONE),
    "stock:facts": Access(OFFICE, OFFICE),
    "stock:many": Access(MANAGER, MANAGER),
    "stock:move": Access(BENCH, BENCH),
    "stock:release": Access(NOBODY, BENCH),
    "stock:take_back": Access(OFFICE, OFFICE),
    "stock:stocktakes": Access(BENCH),
    "stock:stocktake_start": Access(NOBODY, BENCH),
    "stock:stocktake": Access(BENCH, BENCH),
    "stock:differences": Access(MANAGER, MANAGER),
    "stock:report": Access(BOOKS),
    "stock:method": Access(MANAGER, MANAGER),
    # purchasing: the office says what is to be ordered, the manager orders, the bench takes it in
    "purchasing:list": Access(EVERYONE),
    "purchasing:order": Access(EVERYONE),
    "purchasing:short": Access(COUNTER, OFFICE),
    "purchasing:change": Access(OFFICE, OFFICE),
    "purchasing:add": Access(OFFICE, OFFICE),
    "purchasing:discard": Access(NOBODY, OFFICE),
    "purchasing:place": Access(NOBODY, MANAGER),
    "purchasing:pdf": Access(BOOKS),
    "purchasing:csv": Access(BOOKS),
    "purchasing:goods_in": Access(BENCH, BENCH),
    "purchasing:end": Access(MANAGER, MANAGER),
    "purchasing:reopen": Access(NOBODY, MANAGER),
    "purchasing:points": Access(COUNTER, MANAGER),
    "purchasing:settings": Access(MANAGER, MANAGER),
    # job cards: only who wrenches signs for a bike and lets it go
    "jobcards:release": Access(EVERYONE),
    "jobcards:release_news": Access(EVERYONE),
    "jobcards:sign": Access(NOBODY, WRENCH),
    "jobcards:unsign": Access(NOBODY, WRENCH),
    "jobcards:let_go": Access(NOBODY, WRENCH),
    "jobcards:sheet": Access(COUNTER),
    "jobcards:print": Access(EVERYONE),
    "jobcards:pen": Access(BENCH, BENCH),
    # labels
    "labels:bikes": Access(BENCH),
    "labels:parts": Access(BENCH),
    # the bench: its hours, the board, promises
    "bench:board": Access(EVERYONE),
    "bench:promise": Access(EVERYONE, OFFICE),
    "bench:times": Access(EVERYONE),
    "bench:hours": Access(EVERYONE),
    "bench:person": Access(MANAGER, MANAGER),
    "bench:away": Access(OFFICE, OFFICE),
    "bench:away_remove": Access(NOBODY, OFFICE),
    "bench:day": Access(OFFICE, OFFICE),
    "bench:day_remove": Access(NOBODY, OFFICE),
    "bench:settings": Access(MANAGER, MANAGER),
    # quotes
    "quoting:list": Access(COUNTER),
    "quoting:start": Access(NOBODY, OFFICE),
    "quoting:revision": Access(COUNTER),
    "quoting:choose": Access(OFFICE, OFFICE),
    "quoting:line_add": Access(OFFICE, OFFICE),
    "quoting:line_change": Access(OFFICE, OFFICE),
    "quoting:line_restore": Access(NOBODY, OFFICE),
    "quoting:line_remove": Access(NOBODY, OFFICE),
    "quoting:details": Access(OFFICE, OFFICE),
    "quoting:reprice": Access(NOBODY, OFFICE),
    "quoting:send": Access(OFFICE, OFFICE),
    "quoting:revise": Access(NOBODY, OFFICE),
    "quoting:compare": Access(COUNTER),
    "quoting:history": Access(BOOKS),
    "printing:pdf": Access(COUNTER),
    "printing:preview": Access(OFFICE),
    # acceptance
    "acceptance:record": Access(OFFICE, OFFICE),
    "acceptance:detail": Access(COUNTER),
    "acceptance:open_card": Access(OFFICE, OFFICE),
    # job cards: all see how work stands; who stands at the bench ticks, draws, reads and reports
    "jobcards:list": Access(EVERYONE),
    "jobcards:card": Access(EVERYONE),
    "jobcards:live": Access(EVERYONE),
    "jobcards:open_check": Access(NOBODY, BENCH),
    "jobcards:tick": Access(NOBODY, BENCH),
    "jobcards:untick": Access(NOBODY, BENCH),
    "jobcards:start": Access(NOBODY, BENCH),
    "jobcards:stop": Access(NOBODY, BENCH),
    "jobcards:task": Access(EVERYONE, BENCH),
    "jobcards:judge": Access(BENCH),
    "jobcards:parts": Access(EVERYONE),
    "jobcards:scan": Access(NOBODY, BENCH),
    "jobcards:reserve": Access(NOBODY, BENCH),
    "jobcards:draw": Access(NOBODY, BENCH),
    "jobcards:give_back": Access(NOBODY, BENCH),
    "jobcards:extra": Access(BENCH),
    "jobcards:extra_at": Access(BENCH, BENCH),
    # comparables and the resale price
    "resale:list": Access(BOOKS),
    "resale:new": Access(MANAGER, MANAGER),
    "resale:edit": Access(MANAGER, MANAGER),
    "resale:remove": Access(MANAGER, MANAGER),
    "resale:import": Access(MANAGER, MANAGER),
    "resale:import_add": Access(NOBODY, MANAGER),
    "resale:template": Access(MANAGER),
    "resale:bike": Access(BOOKS),
    "resale:drop": Access(MANAGER, MANAGER),
    "resale:take_back": Access(NOBODY, MANAGER),
    # buy-in
    "buyin:list": Access(BOOKS),
    "buyin:check": Access(MANAGER, MANAGER),
    "buyin:detail": Access(BOOKS),
    "buyin:decide": Access(NOBODY, MANAGER),
    "buyin:decision": Access(BOOKS, MANAGER),
    "buyin:kept": Access(BOOKS),
    "buyin:sheet": Access(BOOKS),
    # cheapest plan
    "planning:plan": Access(COUNTER),
    "planning:take": Access(NOBODY, OFFICE),
    "planning:lock": Access(OFFICE, OFFICE),
    "planning:unlock": Access(NOBODY, OFFICE),
    # provenance
    "provenance:start": Access(NOBODY, OFFICE),
    "provenance:check": Access(OFFICE),
    "provenance:step": Access(OFFICE, OFFICE),
    "provenance:frame": Access(BENCH, BENCH),
    "provenance:conclude": Access(NOBODY, OFFICE),
    "provenance:declaration": Access(OFFICE),
    "provenance:settings": Access(MANAGER, MANAGER),
    # what parts brought
    "margins:parts": Access(BOOKS),
    # global accounting
    "pool:overview": Access(BOOKS),
    "pool:period": Access(BOOKS),
    "pool:enter": Access(MANAGER, MANAGER),
    "pool:reverse": Access(MANAGER, MANAGER),
    "pool:declare": Access(NOBODY, MANAGER),
    "pool:set_up": Access(MANAGER, MANAGER),
    # sales and the stock book: the desk sells, the manager buys and takes back
    "sales:list": Access(COUNTER),
    "sales:row": Access(COUNTER),
    "sales:sell": Access(OFFICE, OFFICE),
    "sales:invoice": Access(COUNTER),
    "sales:credit_note": Access(COUNTER),
    "sales:take_back": Access(MANAGER, MANAGER),
    "sales:reduce": Access(MANAGER, MANAGER),
    "sales:buy": Access(MANAGER, MANAGER),
    "sales:reverse": Access(MANAGER, MANAGER),
    "sales:receipt": Access(BOOKS),
    "sales:book": Access(BOOKS),
    "sales:book_pdf": Access(BOOKS),
    "sales:learned": Access(BOOKS),
}


def allowed(role: str, url_name: str, method: str = "GET") -> bool:
    """Tell whether a role may use a method at a URL; False for a URL not named here."""
    access = POLICY.get(url_name)
    return access is not None and access.allows(role, method)
