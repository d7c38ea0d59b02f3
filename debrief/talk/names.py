"""Names and numbers of people in a note: pointed out to who writes it, never removed.

A guess from how a word is written. It misses names in small letters and in scripts without capitals, and it
points at words that name nobody; so it only asks for a second look.
"""

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from debrief import words

TABLE = Path(__file__).with_name("names.toml")

MOST_SHOWN = 8
"""How many are pointed out in one text."""

_WORD = re.compile(r"[^\W\d_]+(?:['\u2019-][^\W\d_]+)*")
_NUMBER = re.compile(r"(?<![\w.,:])\+?\(?\d[\d ()/.-]{4,24}\d(?![\w:])|(?<!\w)[A-Za-z]{1,3}[- ]?\d{5,}(?!\w)")
_ADDRESS = re.compile(r"[^\s@]{1,64}@[^\s@]{1,200}\.[^\s@]{2,}")
_LEAST_DIGITS = 6
_NEAR = 80
"""How far back is looked for what stands before a word."""
_MOST_CAPITALS = 5
"""A word in capitals alone is an abbreviation up to this length."""


@dataclass(frozen=True)
class Found:
    """A piece of a text that looks like it names somebody: ``why`` is ``name`` or ``number``."""

    start: int
    end: int
    text: str
    why: str


@cache
def _table() -> dict[str, dict[str, Any]]:
    return tomllib.loads(TABLE.read_text(encoding="utf-8"))


@cache
def known_words(language: str) -> frozenset[str]:
    """Return the words with a capital that name nobody: those of the trade, of roles, and of the table."""
    trade: set[str] = set(_table()[language]["known"])
    for key, text in words.said_in(language).items():
        if key.startswith("talk.role."):
            trade.update(_WORD.findall(text.casefold()))
    for found in (words.DRUGS, words.RHYTHMS, words.KINDS, words.CAUSES, words.UNITS):
        for one in found.values():
            for text in (one.name, *one.also):
                trade.update(_WORD.findall(text.replace("_", " ").casefold()))
    for details in words.DETAILS.values():
        for name, also in details.items():
            for text in (name, *also):
                trade.update(_WORD.findall(text.replace("_", " ").casefold()))
    return frozenset(trade)


def likely_names(text: str, sentences: bool = True, most: int | None = MOST_SHOWN) -> list[Found]:
    """Return what in a text looks like the name or the number of a person, in order.

    ``sentences``: whether its lines are sentences, whose first word has a capital anyway; a role is none.
    ``most``: how many at most; null for all.
    """
    language = words.language().name
    table = _table().get(language, _table()[words.ENGLISH])
    known = known_words(language if language in _table() else words.ENGLISH)
    found = [
        Found(match.start(), match.end(), match[0].strip(), "number")
        for pattern in (_NUMBER, _ADDRESS)
        for match in pattern.finditer(text)
        if "@" in match[0] or sum(map(str.isdigit, match[0])) >= _LEAST_DIGITS
    ]
    before: re.Match[str] | None = None
    for match in _WORD.finditer(text):
        if _looks_like_a_name(text, match, before, table, known, sentences):
            found.append(Found(match.start(), match.end(), match[0], "name"))
        before = match
    return _joined(text, found)[:most]


def _looks_like_a_name(
    text: str,
    match: re.Match[str],
    before: re.Match[str] | None,
    table: dict[str, Any],
    known: frozenset[str],
    sentences: bool,
) -> bool:
    word = match[0]
    folded = re.sub(r"['\u2019]s$", "", word.casefold())
    if not word[0].isupper() or folded in known:
        return False
    gap = text[before.end() : match.start()] if before else ""
    if before and before[0].casefold() in table["titles"] and gap.strip(" .") == "" and "\n" not in gap:
        return not (word.isupper() and len(word) <= 3)
    if not table["capitals"] or folded in table["titles"] or (word.isupper() and len(word) <= _MOST_CAPITALS):
        return False
    before_it = text[max(match.start() - _NEAR, 0) : match.start()]
    ahead = before_it.rstrip(" \t")[-1:]  # anything else there begins a sentence or an item
    return ahead.isalnum() or ahead == "," or not sentences


def _joined(text: str, found: list[Found]) -> list[Found]:
    """Return the pieces in order, words that follow each other as one."""
    made: list[Found] = []
    for one in sorted(found, key=lambda one: one.start):
        last = made[-1] if made else None
        if last and one.start < last.end:
            continue
        if last and last.why == one.why == "name" and text[last.end : one.start] == " ":
            made[-1] = Found(last.start, one.end, text[last.start : one.end], "name")
        else:
            made.append(one)
    return made
