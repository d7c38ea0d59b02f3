"""What in a note looks like one of the 18 identifiers: pointed out before a reviewer passes it.

A guess from how it is written, with rules of ``identifiers.toml`` and of `talk.names`. It misses some and
points at what is none; so nothing is passed for having been found clean.
"""

import re
import tomllib
import unicodedata
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise
from pathlib import Path

from debrief import words
from debrief.talk.names import known_words, likely_names

TABLE = Path(__file__).with_name("identifiers.toml")

_ABBREVIATION = 5
"""A word in capitals alone is an abbreviation up to this length."""


@dataclass(frozen=True)
class Found:
    """A piece of a text that looks like an identifier.

    ``why`` is what it looks like (``teaching.looks_like_<why>`` in words); ``item`` the item of
    45 CFR 164.514(b)(2)(i) that it would fall under.
    """

    start: int
    end: int
    text: str
    why: str
    item: str


@dataclass(frozen=True)
class _Rule:
    why: str
    item: str
    capital: bool
    patterns: tuple[re.Pattern[str], ...]


@cache
def _rules() -> tuple[_Rule, ...]:
    table = tomllib.loads(TABLE.read_text(encoding="utf-8"))
    parts = table["part"]

    def compiled(pattern: str) -> re.Pattern[str]:
        return re.compile(re.sub(r"<(\w+)>", lambda one: parts.get(one[1], one[0]), pattern), re.IGNORECASE)

    return tuple(
        _Rule(rule["why"], rule["item"], rule.get("capital", False), tuple(map(compiled, rule["patterns"])))
        for rule in table["rule"]
    )


def likely_identifiers(text: str) -> list[Found]:
    """Return what in a text looks like an identifier, in order; no two overlap.

    Letters and digits of other widths and scripts are read as the plain ones, and what cannot be seen, such
    as a soft hyphen, as nothing.
    """
    plain, at = _plain(text)
    found: list[tuple[int, int, str, str]] = []
    for rule in _rules():
        for pattern in rule.patterns:
            for match in pattern.finditer(plain):
                group = "it" if "it" in pattern.groupindex else 0
                start, end = match.span(group)
                if rule.capital and not _names_a_place(match[group]):
                    continue
                found.append((start, end, rule.why, rule.item))
    for name in likely_names(plain, most=None):
        why, item = ("name", "A") if name.why == "name" else ("other_number", "R")
        found.append((name.start, name.end, why, item))
    taken: list[tuple[int, int, str, str]] = []
    for one in found:
        if all(one[1] <= other[0] or other[1] <= one[0] for other in taken):
            taken.append(one)
    return [
        Found(at[start], at[end - 1] + 1, text[at[start] : at[end - 1] + 1], why, item)
        for start, end, why, item in sorted(taken)
    ]


def split_identifiers(texts: Sequence[str]) -> list[tuple[int, Found]]:
    """Return what looks like an identifier only once a text is read on in the next one.

    With each stands the index of the first of the two texts; its place is where it begins in that text, or
    where it ends in the next one counted on from there.
    """
    found: dict[tuple[int, Found], None] = {}
    for index, (first, second) in enumerate(pairwise(texts)):
        alone = [(one.start, one.end) for one in likely_identifiers(first)]
        after = [(one.start, one.end) for one in likely_identifiers(second)]
        for between in ("", " "):
            cut = len(first) + len(between)
            known = {*alone, *((start + cut, end + cut) for start, end in after)}
            joined = likely_identifiers(first + between + second)
            found |= {(index, one): None for one in joined if (one.start, one.end) not in known}
    return list(found)


def _names_a_place(text: str) -> bool:
    """Return whether words begin with a capital, as names do, and are none of the trade."""
    first = text.split()[0]
    if not first[0].isupper() or (first.isupper() and len(first) <= _ABBREVIATION):
        return False
    return first.casefold() not in known_words(words.ENGLISH) | known_words("german")


def _plain(text: str) -> tuple[str, list[int]]:
    """Return a text in plain letters and digits, and where each of them stands in the text."""
    plain, at = [], []
    for index, letter in enumerate(text):
        if unicodedata.category(letter) == "Cf":
            continue
        for one in unicodedata.normalize("NFKC", letter):
            digit = unicodedata.digit(one, None)
            plain.append(one if digit is None else str(digit))
            at.append(index)
    return "".join(plain), at
