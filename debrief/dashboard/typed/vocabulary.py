"""What a cell can be completed with: the words that the importers know, and no others."""

from functools import cache
from typing import Any

from debrief.picture.captions import cause_words, kind_words, plain, rhythm_words
from debrief.words import CAUSES, DETAILS, DRUGS, KINDS, RHYTHMS, UNITS, fold

LEFT_OUT = frozenset({"unmapped", "compression"})
"""Kinds that nobody types: single compressions, and what was not understood."""


@cache
def _words() -> dict[str, Any]:
    drugs = [_word(name, name, (*drug.also,)) for name, drug in DRUGS.items()]
    rhythms = [_word(name, name, (*rhythm.also,)) for name, rhythm in RHYTHMS.items()]
    details = {
        "drug": drugs,
        "rhythm": rhythms,
        "cause": [_word(name, name, (*cause.also,)) for name, cause in CAUSES.items()],
        **{
            family: [_word(name, name, tuple(also)) for name, also in rows.items()]
            for family, rows in DETAILS.items()
            if family != "route"
        },
    }
    kinds = [
        _word(kind.name, kind.name, kind.also, kind.detail)
        for kind in KINDS.values()
        if kind.name not in LEFT_OUT
    ]
    return {
        "mark": [
            *kinds,
            *(one | {"family": "drug", "inside": True} for one in drugs),
            *(one | {"family": "rhythm", "inside": True} for one in rhythms),
        ],
        "detail": details,
        "unit": [_word(name, unit.name, unit.also) for name, unit in UNITS.items()],
        "route": [_word(name, name, tuple(also)) for name, also in DETAILS["route"].items()],
    }


def words() -> dict[str, Any]:
    """Return the words by cell, details by what their kind of mark holds, in the language spoken now.

    A word is what is put into the cell (``take``), what it can be found by (``also``), what it means
    (``told``), and for a mark which details it has (``family``).
    """
    found = _words()
    return found | {
        "mark": [one | {"told": _told(one)} for one in found["mark"]],
        "detail": {
            family: [one | {"told": _detail(family, one["name"])} for one in rows]
            for family, rows in found["detail"].items()
        },
    }


def _word(name: str, take: str, also: tuple[str, ...], family: str = "") -> dict[str, Any]:
    text = take if take in UNITS else take.replace("_", " ")
    return {"name": name, "take": text, "also": [fold(one) for one in also if fold(one)], "family": family}


def _told(word: dict[str, Any]) -> str:
    return _detail(word["family"], word["name"]) if word.get("inside") else kind_words(word["name"])


def _detail(family: str, name: str) -> str:
    if family == "rhythm":
        return rhythm_words(name)
    return cause_words(name) if family == "cause" else plain(name)
