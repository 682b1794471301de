"""Sections that other rooms add to a bike's page."""

from __future__ import annotations

from django.http import HttpRequest

from workshop.bikes.models import Bike
from workshop.panels import Action, Panel, Registry

__all__ = ["Action", "Panel", "panels_for", "register"]

_registry: Registry[HttpRequest, Bike] = Registry()
register = _registry.register
panels_for = _registry.panels
