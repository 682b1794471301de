"""Parts that fit only some bikes, as tests want them."""

from __future__ import annotations

from typing import Any

from inventory.parts.models import FitFacts, Part
from tests.factories.parts import PartFactory


def sized(
    code: str, of: Part | None = None, *, part: dict[str, Any] | None = None, **facts: Any
) -> Part:
    """Return a part with facts of fit, a size of another where one is given."""
    made: Part = PartFactory.create(code=code, size_of=of, **(part or {}))
    if facts:
        FitFacts.objects.create(part=made, **facts)
    return made
