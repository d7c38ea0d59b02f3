"""The words of the trade, as data: kinds of mark, rhythms, drugs, units, causes, and every sentence shown.

The tables are TOML files beside this one. Adding a synonym is one word in a list there; a new kind
or drug is a new table. Sentences live in a folder a language: one file an area, one key a sentence.
"""

import os
import re
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

FOLDER = Path(__file__).parent


def fold(text: str) -> str:
    """Return a word for comparing: lower case, letters and digits alone, single spaces between them."""
    return " ".join(re.findall(r"[^\W_]+", text.casefold()))


def table(name: str) -> dict[str, Any]:
    """Read one of the tables beside this file."""
    with (FOLDER / f"{name}.toml").open("rb") as file:
        return tomllib.load(file)


@dataclass(frozen=True)
class Kind:
    """A kind of mark. ``family``: what a source records together; ``detail``: what detail holds."""

    name: str
    code: int
    family: str
    detail: str
    unit: str
    also: tuple[str, ...]


@dataclass(frozen=True)
class Rhythm:
    """A rhythm label, whether it is an arrest rhythm and whether a shock is indicated."""

    name: str
    arrest: bool
    shockable: bool
    also: tuple[str, ...]


@dataclass(frozen=True)
class Drug:
    """A drug by generic name, with the canonical unit of its bolus."""

    name: str
    unit: str
    also: tuple[str, ...]


@dataclass(frozen=True)
class Unit:
    """A unit of measure: ``amount * factor`` is the same amount in the dimension's canonical unit."""

    name: str
    dimension: str
    canonical: str
    factor: float
    also: tuple[str, ...]


@dataclass(frozen=True)
class Cause:
    """A cause of a pause, and the marks that speak for it."""

    name: str
    code: int
    kinds: tuple[str, ...]
    details: tuple[str, ...]
    also: tuple[str, ...]


def _kinds() -> dict[str, Kind]:
    return {
        name: Kind(name, code, row["family"], row.get("detail", ""), row.get("unit", ""), tuple(row["also"]))
        for code, (name, row) in enumerate(table("kinds").items())
    }


def _causes() -> dict[str, Cause]:
    rows = table("causes")
    return {
        name: Cause(
            name,
            code,
            tuple(rows[name]["kinds"]),
            tuple(rows[name].get("details", ())),
            tuple(rows[name]["also"]),
        )
        for code, name in enumerate(rows["order"])
    }


def _units() -> dict[str, Unit]:
    found = {}
    for dimension, rows in table("units").items():
        canonical = rows.pop("canonical")
        for name, row in rows.items():
            found[name] = Unit(name, dimension, canonical, row["factor"], tuple(row["also"]))
    return found


KINDS: dict[str, Kind] = _kinds()
RHYTHMS: dict[str, Rhythm] = {
    name: Rhythm(name, row["arrest"], row["shockable"], tuple(row["also"]))
    for name, row in table("rhythms").items()
}
DRUGS: dict[str, Drug] = {
    name: Drug(name, row["unit"], tuple(row["also"])) for name, row in table("drugs").items()
}
UNITS: dict[str, Unit] = _units()
CAUSES: dict[str, Cause] = _causes()
DETAILS: dict[str, dict[str, list[str]]] = table("details")
"""Other details (airway, access, route, advice, recoil, reason, vital): name -> the words written for it."""

ARREST_RHYTHMS = frozenset(name for name, rhythm in RHYTHMS.items() if rhythm.arrest)
SHOCKABLE_RHYTHMS = frozenset(name for name, rhythm in RHYTHMS.items() if rhythm.shockable)
ADVANCED_AIRWAYS = frozenset({"supraglottic", "tube", "surgical"})
POPULATIONS = ("adult", "child", "infant", "newborn_at_birth")


@dataclass(frozen=True)
class Language:
    """A language of the sentences: its folder, its code for browsers, and what it calls itself."""

    name: str
    code: str
    called: str


ENGLISH = "english"
LANGUAGES: dict[str, Language] = {
    name: Language(name, row["code"], row["called"]) for name, row in table("languages").items()
}


def language_named(text: str) -> str | None:
    """Return the language that a text names (``german``, ``de``, ``Deutsch``), null where none is."""
    known = (one for one in LANGUAGES.values() if fold(text) in map(fold, (one.name, one.code, one.called)))
    return next((one.name for one in known), None)


_SPOKEN = ContextVar("language", default=language_named(os.environ.get("DEBRIEF_LANGUAGE", "")) or ENGLISH)


def language() -> Language:
    """Return the language that is spoken now: ``DEBRIEF_LANGUAGE``, or what :func:`speak` chose."""
    return LANGUAGES[_SPOKEN.get()]


def speak(name: str) -> None:
    """Speak a language of `LANGUAGES` from now on, in this thread or task alone."""
    _SPOKEN.set(LANGUAGES[name].name)


@contextmanager
def speaking(name: str) -> Iterator[None]:
    """Speak a language for a while."""
    before = _SPOKEN.set(LANGUAGES[name].name)
    try:
        yield
    finally:
        _SPOKEN.reset(before)


@cache
def said_in(name: str) -> dict[str, str]:
    """Return the sentences that a language has of its own, by ``area.key``."""
    found: dict[str, str] = {}
    for path in sorted((FOLDER / name).glob("*.toml")):
        with path.open("rb") as file:
            for key, text in tomllib.load(file).items():
                found[f"{path.stem}.{key}"] = text
    return found


@cache
def _complete(name: str) -> dict[str, str]:
    return said_in(ENGLISH) | said_in(name)


def sentences() -> dict[str, str]:
    """Return every sentence in the language spoken now, by ``area.key``; in English what it lacks."""
    return _complete(_SPOKEN.get())


def say(key: str, /, **values: object) -> str:
    """Return a sentence of the language table with its blanks filled in.

    Raises
    ------
    KeyError
        Where no such sentence exists: a mistake in the code, found by a test.
    """
    text = sentences()[key]
    return text.format(**values) if values else text
