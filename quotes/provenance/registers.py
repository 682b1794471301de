"""Where to look up whether a bike is known as stolen, by country; no register is named.

# common practice, no source: which registers the police approve of changes, so ask yours
"""

from __future__ import annotations

ANYWHERE = (
    "Look the frame number up in a register of stolen bikes that your police approve of.",
    "Look for an engraved or stuck-on code as well: another register may know that one.",
)

PROMPTS: dict[str, tuple[str, ...]] = {
    "GB": (
        "Look the frame number up in a police-approved national cycle register.",
        "Look for a marking kit’s code on the frame, and look that up as well.",
        "Where anything seems odd, ask the police on their non-emergency number before you buy.",
    ),
    "IE": (
        "Look the frame number up in a national register of bikes that the police approve of.",
        "Look at what the police publish of bikes that were found.",
        "Where anything seems odd, ask at your police station before you buy.",
    ),
    "DE": (
        "Look the frame number up in a register of bikes that is run with the police.",
        "Look for an engraved owner’s code or a sticker with one; the police can tell whose it is.",
        "Where anything seems odd, ask at your police station before you buy.",
    ),
}


def prompts_for(country: str) -> tuple[str, ...]:
    """Return what to look up in a country, by its ISO 3166 code."""
    return PROMPTS.get(country, ANYWHERE)
