"""Amounts: ``1 mg``, ``200J``, ``10 mL 1:10 000``, ``5 mcg/min``, and what is odd about them."""

import re
from dataclasses import dataclass
from functools import cache, lru_cache
from math import inf, nan

from debrief import words
from debrief.importers.notices import Notice, notice
from debrief.model.times import to_us
from debrief.words import DRUGS, KINDS, UNITS, Unit

_NUMBER = r"(?<!\d)(?<!\d[.,])(?![\d \u00a0]+(?:\.\d+){2})\d+(?:[ \u00a0]\d{3}(?!\d))*(?:[.,]\d+)*"
_RATIO = re.compile(
    r"(?<![\d.,:])1\s*(?::|\bin\b|/)\s*(\d{1,3}(?:[ ,.'\u00a0]\d{3})+|\d{4,6})(?![\d:])", re.IGNORECASE
)
_STRENGTH = re.compile(
    rf"({_NUMBER})\s*(mg|mcg|ug|[µμ]g|g)\s*(?:/|\bper\b)\s*({_NUMBER})?\s*(?:ml|cc)\b", re.IGNORECASE
)
_SECONDS = re.compile(rf"({_NUMBER})\s*(seconds|second|secs|sec|s|minutes|minute|mins|min)\b", re.IGNORECASE)
_BARE = re.compile(rf"(?<![\w.,:#]){_NUMBER}(?![\w:])")
_LONGEST = 200
"""Letters in a text in which amounts are looked for; a longer one is a story."""
_DIGITS = 18
_LINKS = {"of", "in", "at", "a", "strength", "solution", "with", "to"}
_EXPECTED = {
    "shock": ("energy",),
    "cardioversion": ("energy",),
    "charge": ("energy",),
    "etco2": ("pressure", "fraction"),
    "compression": ("depth",),
}


@dataclass(frozen=True)
class Reading:
    """The amounts in a text. ``unit`` is a name of the units table, or the word as written where unknown.

    ``mg_per_ml`` is a strength beside a volume, ``length_s`` a duration, ``rest`` the text without all of
    these.
    """

    value: float | None = None
    unit: str | None = None
    mg_per_ml: float | None = None
    length_s: float | None = None
    rest: str = ""


NOTHING = Reading()


@dataclass(frozen=True)
class Amount:
    """An amount in its canonical unit, ``factor`` times what was written. ``infusion``: it is a rate.

    ``most`` is the amount above which a reader is asked.
    """

    value: float | None = None
    unit: str | None = None
    infusion: bool = False
    notices: tuple[Notice, ...] = ()
    factor: float = 1.0
    most: float = inf


def number(text: str, decimal_comma: bool = False) -> float:
    """Return a written number: ``0,5`` and ``0.5``, ``1,000`` and ``1 000``.

    A comma before exactly three digits parts thousands, unless the file writes decimals with commas or the
    number begins with 0.
    """
    text = re.sub(r"[ \u00a0]", "", text)
    if "," in text and "." in text:
        last = max(text.rfind(","), text.rfind("."))
        text = re.sub(r"[.,]", "", text[:last]) + "." + text[last + 1 :]
    elif "," in text:
        whole, _, after = text.rpartition(",")
        thousands = "," in whole or (len(after) == 3 and not decimal_comma and whole.lstrip("-+0"))
        text = text.replace(",", "") if thousands else text.replace(",", ".")
    return float(text)


@cache
def _units() -> dict[str, Unit]:
    found: dict[str, Unit] = {}
    for name, unit in UNITS.items():
        for word in (name, *unit.also):
            found.setdefault(_key(word), unit)
    return found


@cache
def _quantity() -> re.Pattern[str]:
    """Return the pattern of a number with a unit behind it. ``in`` is left out: there it is a preposition."""
    names = sorted((key for key in _units() if key != "in"), key=len, reverse=True)
    spaced = "|".join(r"\s*".join(map(re.escape, name)) for name in names)
    return re.compile(rf"({_NUMBER})\s*({spaced})(?![^\W\d_]|/)", re.IGNORECASE)


def _key(text: str) -> str:
    return re.sub(r"\s+", "", text).casefold().strip(".()[]")


def unit(text: str) -> Unit | None:
    """Return the unit that a word means, or null."""
    return _units().get(_key(text))


def scan(text: str, decimal_comma: bool = False) -> Reading:
    """Return the amounts in a text and what is left of it. A mass beside a volume is the amount."""
    mg_per_ml, length_s, rest = None, None, text
    if len(text) > _LONGEST:
        return Reading(rest=text)
    if match := _RATIO.search(rest):
        mg_per_ml, rest = 1000 / float(re.sub(r"\D", "", match[1])), _without(rest, match)
    elif match := _STRENGTH.search(rest):
        found = unit(match[2])
        mass_mg = number(match[1], decimal_comma) * (found.factor if found else 1.0)
        mg_per_ml, rest = mass_mg / number(match[3] or "1", decimal_comma), _without(rest, match)
    quantities: list[tuple[float, Unit]] = []
    while match := _quantity().search(rest):
        quantities.append((number(match[1], decimal_comma), _units()[_key(match[2])]))
        rest = _without(rest, match)
    if match := _SECONDS.search(rest):
        length_s = number(match[1], decimal_comma) * (60 if match[2].lower().startswith("m") else 1)
        rest = _without(rest, match)
    if quantities:
        quantities.sort(key=lambda each: each[1].dimension == "volume")
        value, chosen = quantities[0]
        if chosen.name == "percent" and len(quantities) > 1:  # a solution: grams in 100 mL
            mg_per_ml, (value, chosen) = 10 * value, quantities[1]
        return Reading(value, chosen.name, mg_per_ml, length_s, rest)
    bare = None
    if match := _BARE.search(rest):
        bare, rest = number(match[0], decimal_comma), _without(rest, match)
    return Reading(bare, None, mg_per_ml, length_s, rest)


def _without(text: str, match: re.Match[str]) -> str:
    return f"{text[: match.start()]} {text[match.end() :]}"


@lru_cache(maxsize=8192)
def read(text: str, unit_text: str, decimal_comma: bool = False) -> Reading | None:
    """Return what an amount cell and its unit say, or null where the cell holds no amount that can be read.

    A word of no known unit is kept as the unit.
    """
    sign = -1 if text.startswith(("-", "\u2212")) else 1
    found = scan(text.lstrip("+-\u2212 "), decimal_comma)
    beside = scan(unit_text, decimal_comma)
    left = [word for word in re.findall(r"[^\W\d_]+|[^\w\s.,;()]", found.rest) if word.lower() not in _LINKS]
    may_be_unit = found.unit is None and not unit_text and len(left) == 1
    if found.value is None or (left and not may_be_unit):
        return None
    inches = found.unit is None and not unit_text and found.rest.strip().lower() in ("in", "in.")
    named = "in" if inches else found.unit or (left[0] if left else None)
    if named is None and unit_text:
        word = re.sub(r"^\W+|[\s(,;]+$|\b(of|in|at)\b\s*$", "", beside.rest.strip()) or unit_text
        known = unit(unit_text) or unit(word)
        named = known.name if known else unit_text
    return Reading(sign * found.value, named, found.mg_per_ml or beside.mg_per_ml)


@lru_cache(maxsize=8192)
def settle(found: Reading, kind: str, detail: str | None) -> Amount:
    """Return an amount in its canonical unit, with what is odd about it for that kind of mark.

    Nothing is guessed but joules, which are all that a shock can be given in.
    """
    if found.value is None:
        return Amount()
    factor, named, notices = 1.0, found.unit, []
    known = UNITS.get(named) if named else None
    shown = f"{found.value:.12g} {named or ''}".strip()
    subject = (detail or kind).replace("_", " ")
    if known is None and named:
        notices.append(notice("unit_unknown", unit=named, subject=subject))
    elif known is None and _EXPECTED.get(kind) == ("energy",):
        named = "J"
    elif known is None and kind in ("drug", "etco2", "compression"):
        notices.append(notice("unit_missing", value=f"{found.value:.12g}", subject=subject))
    elif known and known.name == "mL" and kind == "drug" and found.mg_per_ml:
        factor, named = found.mg_per_ml, "mg"
    elif known:
        factor, named = known.factor, known.canonical
        if known.dimension not in _EXPECTED.get(kind, (known.dimension,)):
            notices.append(notice("unit_odd", amount=shown, subject=subject))
        elif kind == "drug" and known.dimension == "volume" and _wants_strength(detail):
            notices.append(notice("strength_missing", amount=shown, subject=subject))
    value = rounded(found.value * factor)
    most = most_usual(kind, detail)
    limit = most[0] if most and named == most[1] else inf
    if value < 0 or (value == 0 and KINDS[kind].family != "seen"):
        notices.append(notice("amount_not_positive", amount=shown, subject=subject))
    elif value > limit:
        notices.append(notice("amount_large", amount=shown, subject=subject, most=f"{limit:g} {named}"))
    infusion = bool(known and known.dimension.startswith("rate"))
    return Amount(value, named, infusion, tuple(notices), factor, limit)


def rounded(value: float) -> float:
    """Return an amount to twelve digits, so that a factor leaves no trace behind them."""
    return float(f"{value:.12g}")


def plain(text: str, decimal_comma: bool) -> float:
    """Return a positive number of digits and one point at most, NaN where a text is anything else."""
    digits = text.replace(",", ".") if decimal_comma else text
    whole = digits.replace(".", "", 1)
    if (
        not (whole.isdecimal() and whole.isascii() and len(whole) < _DIGITS)
        or digits[-1] == "."
        or digits[0] == "."
    ):
        return nan
    return float(digits) or nan


def _wants_strength(detail: str | None) -> bool:
    drug = DRUGS.get(detail or "")
    return drug is not None and drug.unit != "mL"


@cache
def _asked() -> dict[str, tuple[float, str]]:
    rows = words.table("ask_above")
    return {name: (float(row["amount"]), row["unit"]) for part in rows.values() for name, row in part.items()}


def most_usual(kind: str, detail: str | None) -> tuple[float, str] | None:
    """Return the amount above which a reader is asked."""
    return _asked().get(detail or "" if kind == "drug" else kind)


def length_us(text: str, decimal_comma: bool = False) -> int | None:
    """Return a duration written as seconds, ``mm:ss`` or with its unit; null where it cannot be read. [us]"""
    if match := re.fullmatch(r"(?:(\d+):)?(\d+):([0-5]?\d(?:[.,]\d+)?)", text):
        whole_s = 3600 * int(match[1] or 0) + 60 * int(match[2])
        return to_us(whole_s + number(match[3], decimal_comma))
    found = scan(text, decimal_comma)
    seconds = found.length_s if found.length_s is not None else found.value
    if seconds is None or found.unit or found.rest.strip():
        return None
    return to_us(seconds)
