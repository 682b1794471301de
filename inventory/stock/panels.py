"""Sections that other rooms add to a part's page."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from inventory.parts.models import Part


@dataclass(frozen=True, slots=True)
class PartPanel:
    """A section of a part's page: the template that draws it, and what that is told."""

    template: str
    context: dict[str, Any]


_panels: list[Callable[[Part], PartPanel]] = []


def register(panel: Callable[[Part], PartPanel]) -> None:
    """Show a section on every part's page from here on; called as the site starts."""
    if panel not in _panels:
        _panels.append(panel)


def panels_of(part: Part) -> list[PartPanel]:
    """Return the sections of a part's page, in the order in which they were registered."""
    return [panel(part) for panel in _panels]
