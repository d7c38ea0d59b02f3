"""A report as plain text: for a terminal, a pipe or a file."""

from collections.abc import Collection, Iterator, Sequence
from textwrap import wrap

from debrief.importers.places import where
from debrief.model.contract import Figure, Report
from debrief.model.problems import Problem
from debrief.model.times import clock
from debrief.picture.clock_words import clock_lines
from debrief.picture.sentences import SHAPES, bounds_text, figure_title, head_line, summary_line, value_text
from debrief.picture.values import target_words, verdict_words
from debrief.words import say

WIDTH = 100


def report_text(report: Report, width: int = WIDTH, only: Collection[str] = ()) -> str:
    """Return an event for reading: what was not seen, its figures, what is missing and why, its problems.

    Parameters
    ----------
    report
        The event.
    width
        Longest line, in letters.
    only
        Names of the figures to show, in short and without problems; none for all of it.
    """
    figures = [figure for figure in report["figures"] if not only or figure["name"] in only]
    known = [figure for figure in figures if not _is_missing(figure)]
    beside = report["parameters"].get("beside")
    heading = say(
        "text.heading_beside" if beside else "text.heading",
        event=report["event"]["event_id"],
        edition=report["edition"],
        beside=beside,
    )
    lines = [heading, *_folded(summary_line(report), width), *_folded(head_line(report), width), ""]
    lines += _figures(report, known, width, bool(only))
    missing = list(_missing(figures, width))
    if missing:
        lines += ["", say("text.missing"), *missing]
    clocks = clock_lines(report)
    if not only and clocks:
        lines += ["", say("clock_page.title_text")]
        lines += [part for line in clocks for part in _folded(line, width, "  ", "    ")]
    if not only and report["problems"]:
        lines += [
            "",
            say("text.problems"),
            problems_text([Problem(**problem) for problem in report["problems"]], width),
        ]
    return "\n".join(lines)


def folded(text: str, width: int = WIDTH) -> str:
    """Return a text broken into lines."""
    return "\n".join(_folded(text, width))


def problems_text(problems: Sequence[Problem], width: int = WIDTH) -> str:
    """Return problems, each with its place and its remedy."""
    lines: list[str] = []
    for problem in problems:
        lines += _folded(problem_text(problem), width, "  ", "      ")
    return "\n".join(lines)


def problem_text(problem: Problem) -> str:
    """Return a problem in a line: how serious, where, what, and its remedy."""
    row = where(problem.place) if problem.place else None
    place = ", ".join(part for part in (problem.source_id, row) if part)
    said = f"{place}: {problem.message}" if place else problem.message
    return f"{say('text.' + problem.severity)} {said}"


def _is_missing(figure: Figure) -> bool:
    return figure["value"] is None and figure["verdict"] != "not_met"


def _figures(report: Report, figures: list[Figure], width: int, short: bool) -> Iterator[str]:
    """Yield a line a figure: shape, name, value, bounds, what is asked; beneath it why, and who else asks."""
    titles = [figure_title(figure["name"]) for figure in figures]
    values = [value_text(figure) for figure in figures]
    bounds = [bounds_text(figure) for figure in figures]
    asked = [target_words(figure["target"]) if figure["target"] else "" for figure in figures]
    wide, high, broad, long = (max(map(len, column), default=0) for column in (titles, values, bounds, asked))
    beside = sum((2, wide, 2, high, 2, broad, 2, long)) <= width
    for figure, title, value, between, target in zip(figures, titles, values, bounds, asked, strict=True):
        shape = say(f"text.{SHAPES[figure['verdict']]}")
        line = f"{shape} {title:{wide}}  {value:>{high}}  {between:{broad}}  {target if beside else ''}"
        yield line.rstrip()
        notes = ["" if beside else target, figure["because"] or "", figure["settled_by"] or ""]
        if not short:
            notes += [target_words(target) for target in figure["other_targets"]]
        if figure["name"] == "epinephrine_interval_median":
            notes.append(_gaps(report))
        for note in filter(None, notes):
            yield from _folded(note, width, "      ", "        ")


def _gaps(report: Report) -> str:
    """Return the gaps between doses of epinephrine, each with its verdict."""
    gaps = [
        say("text.gap", gap=clock(dose["gap"]), verdict=verdict_words(dose["verdict"] or "no_target"))
        for dose in report["doses"]
        if dose["drug"] == "epinephrine" and dose["gap"] is not None
    ]
    return say("text.gaps", gaps=", ".join(gaps))


def _missing(figures: list[Figure], width: int) -> Iterator[str]:
    """Yield why figures have no value, those with one reason together."""
    reasons: dict[str, list[Figure]] = {}
    for figure in figures:
        if _is_missing(figure):
            reasons.setdefault(str(figure["because"]), []).append(figure)
    for because, alike in reasons.items():
        shape = say(f"text.{SHAPES[alike[0]['verdict']]}")
        titles = ", ".join(figure_title(figure["name"]) for figure in alike)
        yield from _folded(f"{shape} {say('text.without', because=because, titles=titles)}", width, "", "  ")


def _folded(line: str, width: int, first: str = "", later: str = "") -> list[str]:
    return wrap(line, width, initial_indent=first, subsequent_indent=later)
