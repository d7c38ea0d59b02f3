"""A figure in words: its title, its value, its bounds, its verdict, what is asked of it."""

from debrief.model.contract import Figure, Report, Target, Verdict
from debrief.model.times import clock
from debrief.picture.captions import known, number
from debrief.words import say

THIN = "\u202f"
"""A narrow space that does not break, between a number and its unit."""

_COUNTS = frozenset({"pauses_over_10_s", "pauses_over_20_s", "shocks_before_epinephrine"})


def figure_title(name: str) -> str:
    """Return what a figure is called: ``Longest pause``."""
    return known(f"figures.{name}.title", name.replace("_", " ").capitalize())


def figure_definition(name: str) -> str:
    """Return a figure's definition in one line; empty where none is written."""
    return known(f"figures.{name}.definition", "")


def verdict_words(verdict: Verdict) -> str:
    """Return a verdict in words: ``met``, ``not met``, ``cannot be told``."""
    return say(f"figures.verdict.{verdict}")


def value_text(figure: Figure) -> str:
    """Return a figure's value as read: ``83 %``, ``61 s``, ``4:44``; its verdict in words where it has none.

    Numbers and units are parted by a narrow space that does not break.
    """
    value = figure["value"]
    if value is None:
        unseen = figure["verdict"] == "not_met"
        return say("figures.not_seen") if unseen else verdict_words(figure["verdict"])
    return _text(figure, value)


def bounds_text(figure: Figure) -> str:
    """Return a figure's bounds: ``78 to 86``, ``4:44 or longer``; empty where they say nothing."""
    low, high, value = figure["low"], figure["high"], figure["value"]
    if value is None or isinstance(value, bool) or low is None:
        return ""
    if high is None:
        return say("figures.at_least", low=_text(figure, low))
    if _text(figure, low) == _text(figure, high):
        return ""
    return say("figures.to", low=_bare(figure, low, high), high=_bare(figure, high, high))


def _text(figure: Figure, value: float) -> str:
    """Return a value of a figure with its unit."""
    name, unit = figure["name"], figure["unit"]
    if isinstance(value, bool) or unit == "":
        return say("figures.yes" if value else "figures.no")
    if name in _COUNTS or unit == "count":
        return number(value)
    if unit == "1":
        return f"{value * 100:.0f}{THIN}%"
    if unit == "s":
        return _length(name, value)
    if unit.endswith("/min") and unit.startswith("1"):
        return say("figures.per_minute", value=number(round(value)))
    return f"{number(value)}{THIN}{unit}"


def _length(name: str, seconds: float) -> str:
    """Return a length: seconds for pauses and for what is short, minutes and seconds for the rest."""
    if abs(seconds) >= 119.5 or (abs(seconds) >= 59.5 and not _of_pauses(name)):
        return clock(seconds)
    whole = abs(seconds) >= 9.95 or abs(seconds - round(seconds)) < 0.05
    return f"{seconds:.0f}{THIN}s" if whole else f"{seconds:.1f}{THIN}s"


def _of_pauses(name: str) -> bool:
    return "pause" in name or name.startswith("hands_off")


def _bare(figure: Figure, value: float, alongside: float) -> str:
    """Return a bound without its unit, written like the bound beside it."""
    text = _text(figure, value)
    if figure["unit"] == "s" and ":" in _text(figure, alongside):
        return clock(value)
    return text.partition(THIN)[0]


def zero_words(report: Report) -> str:
    """Return what intervals count from, in words: ``recognition``."""
    return known(f"figures.zero.{report['time_zero']['basis']}", say("figures.zero.reviewer"))


def target_words(target: Target) -> str:
    """Return what somebody asks, with its source, what came of it, and whether it is from memory."""
    blanks = {"rule": target["rule"], "edition": target["edition"]}
    memory = target["basis"] == "memory"
    if target["judged"]:
        key = "figures.asked_memory" if memory else "figures.asked"
        return say(key, **blanks, verdict=verdict_words(target["verdict"]))
    return say("figures.shown_memory" if memory else "figures.shown", **blanks)
