"""Which lines are accepted where a customer has decided on labour, parts and lines by hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from quotes.core.lines import Kind, PricedLine
from quotes.core.work import PricingError


def accepted_lines(lines: Sequence[PricedLine], decided: Mapping[str, bool]) -> dict[str, bool]:
    """Return for every line that is not left out whether it is accepted, by key.

    The customer decides on labour, parts and lines by hand; silence is a no. An access step
    follows any accepted labour that shares a finding with it, sundries follow any accepted
    labour of their importance. Raises ``PricingError`` for a decision on a line that is not
    offered.
    """
    offered = {line.key: line for line in lines if not line.left_out}
    if strangers := decided.keys() - offered.keys():
        raise PricingError(f"Not offered: {', '.join(sorted(strangers))}. Read the quote again.")
    labour = [
        line
        for key, line in offered.items()
        if line.kind == Kind.LABOUR and decided.get(key, False)
    ]
    findings = {finding for line in labour for finding in line.findings}
    importances = {line.importance for line in labour}
    answer = {}
    for key, line in offered.items():
        if line.kind == Kind.ACCESS:
            answer[key] = not findings.isdisjoint(line.findings)
        elif line.kind == Kind.SUNDRY:
            answer[key] = line.importance in importances
        else:
            answer[key] = decided.get(key, False)
    return answer
