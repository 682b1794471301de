"""The kinds of thing that this layer keeps in the catalogue, one a file."""

from workshop.catalogue.kinds import (
    access_steps,
    checkpoints,
    faults,
    judgement_rules,
    labour_rates,
    measures,
    operations,
    parts,
    remedies,
    skill_bands,
    vat_rates,
)

__all__ = [
    "access_steps",
    "checkpoints",
    "faults",
    "judgement_rules",
    "labour_rates",
    "measures",
    "operations",
    "parts",
    "remedies",
    "skill_bands",
    "vat_rates",
]
