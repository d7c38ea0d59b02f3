"""Sentences of a report that may go into a copy: those of the language table, with nothing else in them.

A sentence is recognised by its form in the table; what fills its blanks must be numbers, units and the words
in which limits are told.
"""

import re
from functools import cache
from string import Formatter

from debrief import words

_KEYS = re.compile(
    r"because\.\w+|settling\.(zero|coverage|shocks)"
    r"|targets\.(fails_\w+|unknown_(?!edition)\w+|not_seen|ended|straddles|no_bounds|lower_bound|no_weight|no_value|grey_\w+)"
)
_OF_LIMITS = ("at_least", "more_than", "at_most", "less_than", "between", "exactly", "and", "tolerance")
_OF_VALUES = ("most", "percent", "minutes", "yes", "no")
_NUMBER = re.compile(r"-?\d{1,4}(?:[.,:]\d{1,6}){0,3}")
_BLANK = "(.{1,120}?)"


def own_sentences(text: str | None) -> str | None:
    """Return a text that consists of sentences of the table alone, else null."""
    return text if text and any(_made_of(text, name) for name in words.LANGUAGES) else None


def blanks(text: str, template: str) -> dict[str, str] | None:
    """Return what fills the blanks of a sentence of the table; null where the text is not that sentence."""
    names = [name for _, name, _, _ in Formatter().parse(template) if name]
    match = _pattern(template).fullmatch(text)
    return dict(zip(names, match.groups(), strict=True)) if match else None


def _made_of(text: str, language: str) -> bool:
    for pattern in _patterns(language):
        match = pattern.match(text)
        if match and all(_harmless(blank, language) for blank in match.groups()):
            rest = text[match.end() :]
            if not rest or _made_of(rest[1:], language):
                return True
    return False


def _harmless(blank: str, language: str) -> bool:
    """Return whether a blank holds numbers, units and words of limits alone."""
    pieces = [piece.strip(",;()") for piece in blank.split()]
    known = _words_of_limits(language)
    return all(piece.casefold() in known or _NUMBER.fullmatch(piece) for piece in pieces)


@cache
def _words_of_limits(language: str) -> frozenset[str]:
    said = words.said_in(words.ENGLISH) | words.said_in(language)
    texts = [re.sub(r"\{\w+\}", " ", said[f"targets.{key}"]) for key in (*_OF_LIMITS, *_OF_VALUES)]
    texts += [said["figures.per_minute"], *words.UNITS, "J/kg", "mg/kg", "s", "min", ""]
    return frozenset(piece.strip(",;()").casefold() for text in texts for piece in (text, *text.split()))


@cache
def _patterns(language: str) -> tuple[re.Pattern[str], ...]:
    said = words.said_in(words.ENGLISH) | words.said_in(language)
    templates = (text for key, text in said.items() if _KEYS.fullmatch(key))
    return tuple(re.compile(_pattern(template).pattern + r"(?= |$)") for template in templates)


@cache
def _pattern(template: str) -> re.Pattern[str]:
    pieces = Formatter().parse(template)
    parts = (re.escape(text) + (_BLANK if name else "") for text, name, _, _ in pieces)
    return re.compile("".join(parts))
