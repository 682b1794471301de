"""Reading quotes: price book and jobs, the page of a revision, comparison, history, list."""

from quotes.quoting.selectors.book import jobs_of, price_book_on, worksheet_of
from quotes.quoting.selectors.page import (
    FindingView,
    LineView,
    RevisionPage,
    cost_of,
    refurbishment_cost,
    revision_for_page,
)

__all__ = [
    "FindingView",
    "LineView",
    "RevisionPage",
    "cost_of",
    "jobs_of",
    "price_book_on",
    "refurbishment_cost",
    "revision_for_page",
    "worksheet_of",
]
