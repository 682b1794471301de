"""How a finding is named to people: its place and its fault, the place said once."""

from __future__ import annotations


def place_and_fault(place: str, fault: str) -> str:
    """Return “Front hub: Hub has play”, but “Grips worn” where the fault says its place itself."""
    says_it = f"{fault} ".casefold().startswith(f"{place} ".casefold())
    return fault if says_it else f"{place}: {fault}"
