"""What stands beside the rows of a sheet and grows with them, as HTML: words, timeline, figures, problems."""

from collections.abc import Sequence
from typing import Any

from dash import html
from dash.development.base_component import Component
from markupsafe import Markup

from debrief.dashboard.markup import Part
from debrief.dashboard.typed.understanding import TypedRow, Understood
from debrief.picture import svg
from debrief.picture.captions import known
from debrief.picture.layout import lay_out
from debrief.picture.sentences import sentences
from debrief.targets.row import amount
from debrief.targets.usual import Usual
from debrief.words import say

SHORT = (
    "time_to_first_compression",
    "time_to_first_shock",
    "time_to_first_epinephrine",
    "epinephrine_interval_in_range",
    "chest_compression_fraction",
    "longest_pause",
    "time_to_rosc",
)
"""The figures that stand beside a sheet while it is typed."""

MOST_TOLD = 12


def row(one: TypedRow, population: str) -> dict[str, Any]:
    """Return what is shown of a row as the script takes it: texts, and what F2 fills in."""
    found = one.usual
    fill = None
    if found and found.amount is not None:
        fill = {"amount": f"{found.amount:g}", "unit": found.unit}
    return {
        "said": " · ".join(filter(None, (one.at, one.means))),
        "odd": "; ".join(dict.fromkeys(one.odd)),
        "family": one.family,
        "fill": fill,
        "usual": _usual_words(found, population) if found else "",
    }


def _usual_words(found: Usual, population: str) -> str:
    whom = known(f"head.population.{population}", population.replace("_", " "))
    row = found.row
    source = say("typing.usual_source", citation=row.citation)
    if found.low is None and found.high is None:
        told = say("typing.usual_weight", whom=whom, rule=row.rule, edition=row.edition)
        return f"{told} {source}"
    limits = [amount(one, found.unit) for one in dict.fromkeys((found.low, found.high)) if one is not None]
    asked = say("typing.usual_between", low=limits[0], high=limits[-1]) if len(limits) > 1 else limits[0]
    if found.low is not None and found.high is None:
        asked = say("targets.at_least" if row.low_included else "targets.more_than", limit=limits[0])
    way = "fill" if found.amount is not None else "range" if row.judged else "memory"
    return f"{say(f'typing.usual_{way}', whom=whom, amount=asked, edition=row.edition)} {source}"


def beside(found: Understood, width: int) -> dict[str, Part | list[Part]]:
    """Return what grows beside a sheet, by the part's id. [px]"""
    report = found.report
    if report is None:
        return {
            "typed-timeline": html.P(say("typing.timeline_none"), className="note"),
            "typed-figures": html.P(say("typing.figures_none"), className="note"),
            "typed-problems": _problems(found),
        }
    short = [one for one in sentences(report) if one.figure in SHORT and one.spans]
    listed = html.Ul([html.Li([one.lead, html.Strong(one.value), one.tail]) for one in short])
    return {
        "typed-timeline": Markup(svg.paint(lay_out(report, None, width), "page", name="typed")),
        "typed-figures": [listed, html.P(say("typing.figures_note"), className="note")]
        if short
        else html.P(say("typing.figures_none"), className="note"),
        "typed-problems": _problems(found),
    }


def _problems(found: Understood) -> Component:
    """Return what is odd in the rows, each with a way to its first row."""
    told = list(found.told)
    told += [
        (text, [number])
        for number, one in found.rows.items()
        for text in dict.fromkeys(one.odd)
        if all(number not in at for _, at in found.told)
    ]
    if not told:
        return html.P(say("typing.problems_none"), className="note")
    return html.Ul([_problem(*one) for one in sorted(told, key=lambda one: one[1][:1])[:MOST_TOLD]])


def _problem(text: str, rows: Sequence[int]) -> Component:
    if not rows:
        return html.Li(text)
    to_row = html.Button(
        say("typing.row_short", row=rows[0] + 1),
        type="button",
        className="plain small",
        **{"data-row": str(rows[0])},
    )
    return html.Li([to_row, " ", text])
