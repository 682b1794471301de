"""Sections that other rooms add to a page, so that the page need not know them."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Generic, ParamSpec

from django.http import HttpRequest
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

P = ParamSpec("P")


@dataclass(frozen=True, slots=True)
class Action:
    """A button that a panel adds to the head of the page; ``post`` sends instead of opening.

    At the stages in ``next_at`` it is what is to be done next, and stands out before the others.
    """

    label: str
    url: str
    post: bool = False
    next_at: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Panel:
    """A section of a page: its heading, its template and what the template shows.

    Panels stand by ``order``, then by title. The template gives the inside of the section and
    finds ``context`` beside what every page has (``shop``, ``may`` …).
    """

    title: str
    template: str
    context: dict[str, Any]
    order: int = 50
    actions: tuple[Action, ...] = field(default=())

    def html(self, request: HttpRequest) -> SafeString:
        """Return the inside of the section."""
        return render_to_string(self.template, self.context, request)


class Registry(Generic[P]):
    """The makers of a page's panels; each may answer None for "nothing to show here"."""

    def __init__(self) -> None:
        self.makers: list[Callable[P, Panel | None]] = []

    def register(self, maker: Callable[P, Panel | None]) -> Callable[P, Panel | None]:
        """Add a maker once; called by the rooms when the site starts."""
        if maker not in self.makers:
            self.makers.append(maker)
        return maker

    def panels(self, *args: P.args, **kwargs: P.kwargs) -> list[Panel]:
        """Return the panels to show, in order."""
        made = [maker(*args, **kwargs) for maker in self.makers]
        shown = [panel for panel in made if panel is not None]
        return sorted(shown, key=lambda panel: (panel.order, panel.title))
