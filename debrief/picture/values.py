"""A figure in words: its title, its value, its bounds, its verdict, what is asked of it."""

from debrief.model.contract import Figure, Report, Target, Verdict
from debrief.model.values import THIN, beside, value_words
from debrief.picture.captions import known
from debrief.words import say


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
    return value_words(value, figure["unit"], figure["name"])


def _bare(figure: Figure, value: float, alongside: float) -> str:
    """Return a bound without its unit, written like the bound beside it."""
    return beside(value, alongside, figure["unit"], figure["name"]).partition(THIN)[0]


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
