"""The words of the trade, as data: kinds of mark, rhythms, drugs, units, causes, and every sentence shown.

The tables are TOML files beside this one. Adding a synonym is one word in a list there; a new kind
or drug is a new table. Sentences live in ``english/``: one file an area, one key a sentence.
"""

import re
import tomllib
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
    """A kind of mark. ``family`` groups what a source records together; ``detail`` names what detail holds."""

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
    short: str
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
    short: str
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
            rows[name]["short"],
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
    name: Rhythm(name, row["arrest"], row["shockable"], row["short"], tuple(row["also"]))
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


@cache
def sentences() -> dict[str, str]:
    """Return every sentence of the language table, by ``area.key``."""
    found: dict[str, str] = {}
    for path in sorted((FOLDER / "english").glob("*.toml")):
        with path.open("rb") as file:
            for key, text in tomllib.load(file).items():
                found[f"{path.stem}.{key}"] = text
    return found


def say(key: str, /, **values: object) -> str:
    """Return a sentence of the language table with its blanks filled in.

    Raises
    ------
    KeyError
        Where no such sentence exists: a mistake in the code, found by a test.
    """
    text = sentences()[key]
    return text.format(**values) if values else text
