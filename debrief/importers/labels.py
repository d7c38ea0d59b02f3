"""What a label means: ``CPR started``, ``Shock #1 200 J``, ``rhythm check: VF``, ``Epinephrine 1 mg IV``.

A label is understood only where every word of it is: a word that is not known stops it, it stays
``unmapped``, and the reader is asked. So ``epinephrine drawn up`` is never a dose.
"""

import difflib
import re
from dataclasses import dataclass
from functools import cache, lru_cache

from debrief import words
from debrief.importers import amounts
from debrief.importers.amounts import NOTHING, Reading
from debrief.words import CAUSES, DETAILS, DRUGS, KINDS, RHYTHMS, fold

_COUNT = re.compile(
    r"#\s*\d+|\b(?:no|nr|number|attempt)\.?\s*\d+\b|\b\d+(?:st|nd|rd|th)\b"
    r"|\bdose\s*\d+\b(?![.,]\d|\s*(?:[mµμu]?g|mcg|ml|mmol|meq|units?|u|iu)\b)",
    re.IGNORECASE,
)
"""Which dose or shock it was: ``#2``, ``dose 2``, ``3rd``."""

_LONGEST = 6
_STORY = 80
"""Letters in a label beyond which nothing is close to it."""
_FEWEST_JOULES = 10
"""A bare number under this behind a shock counts shocks."""

_ENERGY = ("shock", "cardioversion", "charge")
_CHECKS = ("rhythm_check", "pulse_check")


@dataclass(frozen=True)
class Meant:
    """What a label was taken for. ``known`` is false where it stays ``unmapped``."""

    kind: str
    detail: str | None = None
    reading: Reading = NOTHING
    route: str | None = None
    known: bool = True


@dataclass(frozen=True)
class Sense:
    """One thing that a phrase can mean."""

    kind: str
    detail: str | None = None


@cache
def phrases() -> dict[str, Sense]:
    """Return every phrase that means a mark by itself, folded. Kinds go before rhythms, then come drugs."""
    found: dict[str, Sense] = {}

    def add(sense: Sense, *texts: str) -> None:
        for text in texts:
            found.setdefault(fold(text), sense)

    for name, kind in KINDS.items():
        if name != "unmapped":
            add(Sense(name), name, *kind.also)
    for name, also in DETAILS["advice"].items():
        add(Sense("analysis", name), *(text for text in also if "advised" in text))
    for name, rhythm in RHYTHMS.items():
        add(Sense("rhythm", name), name, *rhythm.also)
    for name, drug in DRUGS.items():
        add(Sense("drug", name), name, *drug.also)
    for name, also in DETAILS["airway"].items():
        add(Sense("airway", name), name, *(text for text in also if text != "bag"))
    for name, also in DETAILS["vital"].items():
        add(Sense("vital", name), name, *also)
    add(Sense("access", "iv"), "iv")
    add(Sense("access", "io"), "io")
    return found


@cache
def _details(family: str) -> dict[str, str]:
    """Return the words of a detail family, in folded form, each with its name."""
    if family == "rhythm":
        rows = {name: list(rhythm.also) for name, rhythm in RHYTHMS.items()}
    elif family == "drug":
        rows = {name: list(drug.also) for name, drug in DRUGS.items()}
    elif family == "cause":
        rows = {name: list(cause.also) for name, cause in CAUSES.items()}
    else:
        rows = DETAILS.get(family, {})
    found: dict[str, str] = {}
    for name, also in rows.items():
        for text in (name, *also):
            found.setdefault(fold(text), name)
    return found


@cache
def _fillers() -> tuple[frozenset[str], dict[str, str]]:
    table = words.table("fillers")
    routes = {word: name for name, also in table["route"].items() for word in also}
    return frozenset(table["harmless"]), routes


def key_of(label: str) -> str:
    """Return what labels that differ in amounts and counts alone have in common: the key of an answer."""
    return fold(amounts.scan(_COUNT.sub(" ", label)).rest) or fold(label)


@lru_cache(maxsize=8192)
def understand(label: str, decimal_comma: bool = False) -> Meant:
    """Return what a label means, ``unmapped`` where a word of it is not known."""
    reading = amounts.scan(_COUNT.sub(" ", label), decimal_comma)
    if sense := phrases().get(fold(label)):
        return Meant(sense.kind, sense.detail or _inside(sense.kind, label))
    senses, left = _split(fold(reading.rest))
    if any(sense.kind == "drug" for sense in senses):  # behind a drug, iv and io are the route
        left += [sense.detail for sense in senses if sense.kind == "access" and sense.detail]
        senses = [sense for sense in senses if not (sense.kind == "access" and sense.detail)]
    sense = _joined(senses)
    harmless, routes = _fillers()
    if sense is None:
        return Meant("unmapped", reading=reading, known=False)
    detail = sense.detail or _inside(sense.kind, reading.rest)
    given = [routes[word] for word in left if word in routes] if sense.kind == "drug" else []
    details = _details(KINDS[sense.kind].detail)
    if (
        not all(word in harmless or word in details or (given and word in routes) for word in left)
        or len(given) > 1
    ):
        return Meant("unmapped", reading=reading, known=False)
    if sense.kind in _ENERGY and reading.unit is None and (reading.value or 0) < _FEWEST_JOULES:
        reading = Reading(mg_per_ml=reading.mg_per_ml, length_s=reading.length_s, rest=reading.rest)
    return Meant(sense.kind, detail, reading, given[0] if given else None)


def _split(text: str) -> tuple[list[Sense], list[str]]:
    """Return the phrases in a folded text, the longest first from the left, and the words left over."""
    tokens, senses, left, at = text.split(), [], [], 0
    while at < len(tokens):
        for length in range(min(_LONGEST, len(tokens) - at), 0, -1):
            if sense := phrases().get(" ".join(tokens[at : at + length])):
                senses.append(sense)
                at += length
                break
        else:
            left.append(tokens[at])
            at += 1
    return senses, left


def _joined(senses: list[Sense]) -> Sense | None:
    """Return the one mark that several phrases of a label describe together; null where they are several."""
    if not senses:
        return None
    first = senses[0]
    for other in senses[1:]:
        if first == other or (first.kind in _CHECKS and other.kind == "pulseless"):
            continue
        if other.kind in _CHECKS and first.kind == "rhythm":
            first, other = other, first
        family = KINDS[first.kind].detail
        same = first.kind == other.kind and None in (first.detail, other.detail)
        describes = (
            family == KINDS[other.kind].detail and family in ("rhythm", "airway", "drug") and not first.detail
        )
        if same or describes:
            first = Sense(first.kind, first.detail or other.detail)
        elif family == "cause" and not first.detail and (cause := _cause(other)):
            first = Sense(first.kind, cause)
        else:
            return None
    return first


def _cause(sense: Sense) -> str | None:
    """Return the cause of a pause that a mark speaks for."""
    for name, cause in CAUSES.items():
        if sense.kind in cause.kinds and (not cause.details or (sense.detail or "") in cause.details):
            return name
    return None


def _inside(kind: str, text: str) -> str | None:
    """Return the detail that stands inside a label of a known kind: ``IO access``, ``LMA placed``."""
    family = KINDS[kind].detail
    if family not in ("access", "airway", "method", "reason", "device", "advice"):
        return None
    return _find(_details(family), fold(text))


def _find(names: dict[str, str], text: str) -> str | None:
    tokens = text.split()
    for length in range(min(_LONGEST, len(tokens)), 0, -1):
        for at in range(len(tokens) - length + 1):
            if name := names.get(" ".join(tokens[at : at + length])):
                return name
    return None


def read_detail(kind: str, text: str, decimal_comma: bool = False) -> tuple[str | None, Reading]:
    """Return the name of a detail and the amounts beside it, as its column writes them.

    The name is null where its family does not know the words.
    """
    names = _details(KINDS[kind].detail)
    if name := names.get(fold(text)):
        return name, Reading()
    reading = amounts.scan(_COUNT.sub(" ", text), decimal_comma)
    rest = [word for word in fold(reading.rest).split() if word not in _fillers()[0]]
    return names.get(" ".join(rest)), reading


def read_route(text: str) -> str | None:
    """Return the name of a route, or null where it is not known."""
    return _details("route").get(fold(text))


def suggestions(label: str, most: int = 5) -> list[Sense]:
    """Return what an unknown label may mean, best first: phrases that stand in it, then close spellings."""
    text = key_of(label)
    if len(text) > _STORY:
        return []
    found = _split(text)[0]
    found += [phrases()[close] for close in difflib.get_close_matches(text, phrases(), n=most, cutoff=0.6)]
    for token in text.split():
        if len(token) > 3:
            found += [
                phrases()[close] for close in difflib.get_close_matches(token, phrases(), n=2, cutoff=0.8)
            ]
    return list(dict.fromkeys(found))[:most]


def close_details(kind: str, text: str, most: int = 3) -> list[str]:
    """Return the details of a kind whose spelling is close to a text, best first."""
    names = _details(KINDS[kind].detail) if len(text) <= _STORY else {}
    return list(
        dict.fromkeys(names[close] for close in difflib.get_close_matches(fold(text), names, most, 0.6))
    )
