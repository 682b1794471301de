"""Short forms: what the files may write shorter than the tables hold it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType

from workshop.catalogue.loading.entries import Data, Entry
from workshop.catalogue.loading.problems import Place, Problem

PAIR = 2


def written_out(entry: Entry, problems: list[Problem]) -> Data:
    """Return an entry's data under the names that its table uses."""
    write_out = SHORT_FORMS.get(entry.kind)
    return write_out(dict(entry.data), entry.place, problems) if write_out else entry.data


def _pair(data: Data, short: str, long: tuple[str, str], place: Place, to: list[Problem]) -> None:
    if short not in data:
        return
    pair = data.pop(short)
    if isinstance(pair, list) and len(pair) == PAIR:
        data.update(zip(long, pair, strict=True))
    else:
        to.append(Problem(place.at(short), f"must be two numbers, [0, 1]; it says {pair!r}"))


def _checkpoint(data: Data, place: Place, problems: list[Problem]) -> Data:
    for drawing in ("folding", "diamond"):
        _pair(data, drawing, (f"{drawing}_x", f"{drawing}_y"), place, problems)
    return data


def _measure(data: Data, place: Place, problems: list[Problem]) -> Data:
    _pair(data, "range", ("plausible_min", "plausible_max"), place, problems)
    return data


def _fault(data: Data, place: Place, problems: list[Problem]) -> Data:
    if "judgement" in data:
        data["default_judgement"] = data.pop("judgement")
    data["remedies"] = _in_order(data, "remedies", "remedy", "rank", first=1)
    _rename(data["remedies"], "from", "from_judgement")
    return data


def _remedy(data: Data, place: Place, problems: list[Problem]) -> Data:
    data["operations"] = _in_order(data, "operations", "operation", "order", first=0)
    _rename(data["operations"], "times", "quantity")
    steps = data["operations"] if isinstance(data["operations"], list) else []
    own = [step.get("operation") for step in steps]
    if not own:
        problems.append(Problem(place.at("operations"), "is empty; name one operation at least"))
        return data
    data["parts"] = _fitted(data.get("parts", []), own, place.at("parts"), problems)
    return data


def _fitted(parts: object, own: list[object], place: Place, problems: list[Problem]) -> object:
    if not isinstance(parts, list):
        return parts
    result = []
    for part in parts:
        item = dict(part) if isinstance(part, dict) else {"part": part}
        item["operation"] = item.pop("by", own[0])
        if item["operation"] not in own:
            message = f"by = {item['operation']!r} is none of the remedy's operations"
            problems.append(Problem(place, message))
        result.append(item)
    return result


def _in_order(data: Data, name: str, main: str, order: str, *, first: int) -> object:
    found = data.get(name, [])
    if not isinstance(found, list):
        return found
    return [
        {order: number, **(item if isinstance(item, dict) else {main: item})}
        for number, item in enumerate(found, first)
    ]


def _rename(items: object, short: str, long: str) -> None:
    for item in items if isinstance(items, list) else []:
        if short in item:
            item[long] = item.pop(short)


SHORT_FORMS: Mapping[str, Callable[[Data, Place, list[Problem]], Data]] = MappingProxyType(
    {"checkpoint": _checkpoint, "measure": _measure, "fault": _fault, "remedy": _remedy}
)
"""What each kind may write shorter than its tables hold it."""
