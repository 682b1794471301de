"""What is kept of a provenance check, and for how long."""

from quotes.provenance.models.checks import (
    Document,
    Proof,
    ProvenanceCheck,
    RegisterResult,
    SellerIdentity,
    State,
)
from quotes.provenance.models.keeping import (
    AnonymisedCustomer,
    IdentityKeeping,
    NumberKept,
    RetentionKind,
    RetentionRule,
    RetentionRun,
)

__all__ = [
    "AnonymisedCustomer",
    "Document",
    "IdentityKeeping",
    "NumberKept",
    "Proof",
    "ProvenanceCheck",
    "RegisterResult",
    "RetentionKind",
    "RetentionRule",
    "RetentionRun",
    "SellerIdentity",
    "State",
]
