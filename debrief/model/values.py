"""Values in words: the one place that knows how finely a value of each unit is told."""

from debrief.model.times import clock
from debrief.words import say

THIN = "\u202f"
"""A narrow space that does not break, between a number and its unit."""

COUNTS = frozenset({"pauses_over_10_s", "pauses_over_20_s", "shocks_before_epinephrine"})

DECIMALS = {"mm": 0, "mmHg": 0, "/min": 0, "J/kg": 1, "mg/kg": 3}
"""How many decimals a value of a unit is told with, where that is fixed."""


def number(value: float) -> str:
    """Return a number without needless decimals: ``1``, ``0.5``, ``1.25``."""
    return f"{value:.4g}" if abs(value) < 10_000 else f"{value:.0f}"


def value_words(value: float, unit: str, name: str = "", space: str = THIN) -> str:
    """Return a value with its unit: ``83 %``, ``61 s``, ``4:44``, ``2.1 J/kg``, ``yes``.

    Parameters
    ----------
    value
        In ``unit``; a share of 1 is told in percent.
    name
        The figure it is of: pauses stay in seconds for longer than other times, counts have no unit.
    space
        What stands between number and unit.
    """
    if isinstance(value, bool) or unit == "":
        return say("figures.yes" if value else "figures.no")
    if name in COUNTS or unit == "count":
        return number(value)
    if unit == "1":
        return f"{value * 100:.0f}{space}%"
    if unit == "s":
        return _length(name, value, space)
    told = number(round(value, DECIMALS[unit]) if unit in DECIMALS else value)
    return f"{told}{space}{say('figures.per_minute') if unit == '/min' else unit}"


def beside(value: float, other: float, unit: str, name: str = "", space: str = THIN) -> str:
    """Return a value with its unit, as minutes and seconds where the other one is told so."""
    if unit == "s" and ":" in value_words(other, unit, name):
        return clock(value)
    return value_words(value, unit, name, space)


def _length(name: str, seconds: float, space: str) -> str:
    """Return a length: seconds for pauses and for what is short, minutes and seconds for the rest."""
    if abs(seconds) >= 119.5 or (abs(seconds) >= 59.5 and not _of_pauses(name)):
        return clock(seconds)
    whole = abs(seconds) >= 9.95 or abs(seconds - round(seconds)) < 0.05
    return f"{seconds:.0f}{space}s" if whole else f"{seconds:.1f}{space}s"


def _of_pauses(name: str) -> bool:
    return "pause" in name or name.startswith("hands_off")


def in_text(value: object) -> str:
    """Return a value as a person would write it, whole, nothing of null."""
    if value is None:
        return ""
    return f"{value:.12g}" if isinstance(value, int | float) else str(value)
