"""A report as plain text: for a terminal, a pipe or a file."""

from collections.abc import Collection, Iterator
from textwrap import wrap

from debrief.model.contract import Figure, ProblemOut, Report, Target
from debrief.picture.sentences import bounds_text, figure_title, head_line, value_text
from debrief.words import say

WIDTH = 100


def report_text(report: Report, width: int = WIDTH, only: Collection[str] = ()) -> str:
    """Return an event for reading: what was not seen, its figures, what is missing and why, its problems.

    Parameters
    ----------
    report
        The event.
    width
        Longest line, in letters; a figure's own line may be longer.
    only
        Names of the figures to show, in short and without problems; none for all of it.
    """
    figures = [figure for figure in report["figures"] if not only or figure["name"] in only]
    shown = [figure for figure in figures if not _is_missing(figure)]
    lines = [_title(report), *_folded(head_line(report), width), ""]
    lines += _figures(shown, width)
    missing = list(_missing(figures, width))
    if missing:
        lines += ["", say("text.missing"), *missing]
    if not only and report["problems"]:
        lines += ["", say("text.problems"), problems_text(report["problems"], width)]
    return "\n".join(lines)


def problems_text(problems: list[ProblemOut], width: int = WIDTH) -> str:
    """Return problems, each with its place and its remedy."""
    lines = []
    for problem in problems:
        place = ", ".join(part for part in (problem["source_id"], problem["place"]) if part)
        said = f"{place}: {problem['message']}" if place else problem["message"]
        lines += _folded(f"{say('text.' + problem['severity'])} {said}", width, "  ", "      ")
    return "\n".join(lines)


def _title(report: Report) -> str:
    event = report["event"]
    known = (event.get("event_id"), event.get("date"), event.get("population"), report["edition"])
    return " · ".join(str(part) for part in known if part)


def _is_missing(figure: Figure) -> bool:
    return figure["value"] is None and figure["verdict"] != "not_met"


def _figures(figures: list[Figure], width: int) -> Iterator[str]:
    """Yield a line a figure: name, value, bounds, verdict; and beneath it why, and who else asks."""
    titles = [figure_title(figure["name"]) for figure in figures]
    values = [value_text(figure) for figure in figures]
    bounds = [bounds_text(figure) for figure in figures]
    wide, high, broad = (max(map(len, column), default=0) for column in (titles, values, bounds))
    for figure, title, value, between in zip(figures, titles, values, bounds, strict=True):
        target = figure["target"]
        verdict = "" if target is None else _asked(target)
        yield f"  {title:{wide}}  {value:>{high}}  {between:{broad}}  {verdict}".rstrip()
        notes = [figure["because"]] if figure["because"] else []
        notes += [say("text.also", asked=_asked(other)) for other in figure["other_targets"]]
        for note in notes:
            yield from _folded(note, width, "      ", "        ")


def _asked(target: Target) -> str:
    """Return what a target says of the figure: ``● met: at least 60 % (AHA 2020)``."""
    key = f"text.{target['verdict']}" if target["judged"] else "text.from_memory"
    return say("text.asked", verdict=say(key), rule=target["rule"], edition=target["edition"])


def _missing(figures: list[Figure], width: int) -> Iterator[str]:
    """Yield why figures have no value, those with one reason together."""
    reasons: dict[str, list[str]] = {}
    for figure in figures:
        if _is_missing(figure):
            reasons.setdefault(str(figure["because"]), []).append(figure_title(figure["name"]))
    for because, titles in reasons.items():
        yield from _folded(f"{because} ({', '.join(titles)})", width, "  ", "      ")


def _folded(line: str, width: int, first: str = "", later: str = "") -> list[str]:
    return wrap(line, width, initial_indent=first, subsequent_indent=later) or [""]
