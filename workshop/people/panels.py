"""Sections that other rooms add to the first page."""

from __future__ import annotations

from django.http import HttpRequest

from workshop.panels import Action, Panel, Registry

__all__ = ["Action", "Panel", "home_panels", "register_home"]

_registry: Registry[HttpRequest] = Registry()
register_home = _registry.register
home_panels = _registry.panels
