"""Which lines are accepted where a customer has decided on labour, parts and lines by hand."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from quotes.core.lines import Kind, PricedLine
from quotes.core.work import PricingError


def accepted_lines(lines: Sequence[PricedLine], decided: Mapping[str, bool]) -> dict[str, bool]:
    """Return for every line that is not left out whether it is accepted, by key.

    The customer decides on labour, parts and lines by hand; silence is a no. An access step
    follows any accepted labour that needs it, sundries follow any accepted labour of their
    importance. Raises ``PricingError`` for a decision on a line that is not offered.
    """
    offered = {line.key: line for line in lines if not line.left_out}
    if strangers := decided.keys() - offered.keys():
        raise PricingError(f"Not offered: {', '.join(sorted(strangers))}. Read the quote again.")
    labour = [
        line
        for key, line in offered.items()
        if line.kind == Kind.LABOUR and decided.get(key, False)
    ]
    importances = {line.importance for line in labour}
    answer = {}
    for key, line in offered.items():
        if line.kind == Kind.ACCESS:
            answer[key] = _is_needed(line, labour)
        elif line.kind == Kind.SUNDRY:
            answer[key] = line.importance in importances
        else:
            answer[key] = decided.get(key, False)
    return answer


def _is_needed(step: PricedLine, labour: Sequence[PricedLine]) -> bool:
    """Tell whether any of the labour needs an access step.

    A line kept from before it was noted what needs it follows labour for the same finding.
    """
    if step.needed_by:
        return any(line.key in step.needed_by for line in labour)
    return any(not set(step.findings).isdisjoint(line.findings) for line in labour)
