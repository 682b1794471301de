"""Reading comparables: the list, twins, and what a bike should bring."""

from __future__ import annotations

from quotes.resale.selectors.basis import BasisRow, LeftOut, ResaleBasis, resale_for
from quotes.resale.selectors.rows import Likeness, Row

__all__ = ["BasisRow", "LeftOut", "Likeness", "ResaleBasis", "Row", "resale_for"]
