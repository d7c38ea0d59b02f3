"""The column of figures: each a sentence, a line of the event with where it was measured, who asks what."""

import json
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from dash import html
from dash.development.base_component import Component

from debrief.dashboard.markup import Part, tag, to_html
from debrief.dashboard.reports import Measured
from debrief.dashboard.shell import guide_address
from debrief.dashboard.written import Row, listed, stands_behind
from debrief.importers.places import where
from debrief.model.contract import Figure, ProblemOut, Report, Target
from debrief.model.times import clock
from debrief.model.values import THIN
from debrief.picture.sentences import (
    Causes,
    Sentence,
    figure_definition,
    figure_title,
    sentences,
    verdict_words,
)
from debrief.picture.values import target_words
from debrief.words import say

ASKED = "asked-figure"

ROOM = 0.15
"""How much room a stretch gets at each side when the timeline moves to it, as a share of its length."""

LEAST_S = 60.0
"""The shortest stretch that the timeline moves to. [s]"""

WHAT_IF = "what-if"
LEAST_CAP_S, MOST_CAP_S = 2, 30
"""What every pause can be capped at. [s]"""

MOST_ROWS = 40
"""How many marks the evidence of one figure shows; the table of all marks has the rest."""


def column(report: Report, extent: tuple[float, float], asks: str = ASKED) -> list[Part]:
    """Return the figures as sentences: what is worth talking about, and the rest folded away.

    Parameters
    ----------
    report
        The event.
    extent
        What the line beneath each sentence stands for, from and to. [s]
    asks
        The store that is told whose evidence is asked for.
    """
    told = sentences(report)
    second = _asked_beside(report)
    talk = [_item(one, extent, second, asks) for one in told if one.talk]
    rest = [_item(one, extent, second, asks) for one in told if not one.talk]
    return [
        html.Ol(talk, className="sentences"),
        html.Details(
            [html.Summary(say("pages.more_figures", count=len(rest))), html.Ol(rest, className="sentences")]
        )
        if rest
        else None,
    ]


def _asked_beside(report: Report) -> dict[str, list[str]]:
    """Return what a second edition asks of each figure, in words with its verdict; nothing without one."""
    beside = report["parameters"].get("beside")
    if not beside or beside == report["edition"]:
        return {}
    return {
        figure["name"]: [
            target_words(target) for target in figure["other_targets"] if target["edition"].startswith(beside)
        ]
        for figure in report["figures"]
    }


def _item(
    one: Sentence, extent: tuple[float, float], second: Mapping[str, Sequence[str]], asks: str
) -> Component:
    start, end = stretch(one.spans, extent)
    moves = {"data-from": f"{start:.1f}", "data-to": f"{end:.1f}"} if one.spans else {}
    bounds = html.Span(f" ({one.bounds})", className="bounds") if one.bounds else None
    note = " ".join(part for part in (one.target, one.note) if part)
    lines = [line for figure in one.figures for line in second.get(figure, ())]
    return html.Li(
        [
            html.Span(html.Span(one.verdict_words, className="hidden"), className=f"shape {one.verdict}"),
            html.Button(
                [one.lead, html.Strong(one.value), one.tail, bounds],
                className="sentence",
                type="button",
                **{"data-set": asks, "data-value": one.figure},
                **{"aria-expanded": "false", "aria-controls": evidence_id(one.figure)},
                **moves,
            ),
            html.Div([span(each, extent) for each in one.spans], className="span", **{"aria-hidden": "true"})
            if one.spans
            else None,
            html.P(note, className="note") if note else None,
            html.P(one.settled_by, className="note settles") if one.settled_by else None,
            *(html.P(line, className="note beside") for line in dict.fromkeys(lines)),
            html.Div(id=evidence_id(one.figure)),
        ],
        className=one.verdict,
    )


def evidence_id(figure: str) -> str:
    """Return where the evidence of a figure is shown."""
    return f"evidence-{figure}"


def span(stretched: tuple[float, float], extent: tuple[float, float]) -> Component:
    """Return a stretch as a piece of a line that stands for the whole event. [s]"""
    whole = extent[1] - extent[0]
    left, right = (100 * (min(max(edge, extent[0]), extent[1]) - extent[0]) / whole for edge in stretched)
    return html.I(style={"left": f"{left:.2f}%", "width": f"{right - left:.2f}%"})


def stretch(spans: Sequence[tuple[float, float]], extent: tuple[float, float]) -> tuple[float, float]:
    """Return what the timeline shows when it moves to spans: all of them, with room around. [s]"""
    if not spans:
        return extent
    start, end = min(span[0] for span in spans), max(span[1] for span in spans)
    room = max((end - start) * ROOM, (LEAST_S - (end - start)) / 2)
    return max(start - room, extent[0]), min(end + room, extent[1])


def answered(wanted: Mapping[str, Any], measured: Measured) -> dict[str, str]:
    """Return the part of the page that shows a figure's evidence, or hides it, as was asked for."""
    figure = wanted["value"]
    shown = evidence(measured.report, figure, measured.rows, measured.files) if wanted["open"] else None
    return {evidence_id(figure): to_html(shown)}


def evidence(report: Report, figure: str, rows: Sequence[Row], files: Mapping[str, str]) -> Component:
    """Return what stands behind a sentence: definitions, targets with their sources, marks as written."""
    one = next(sentence for sentence in sentences(report) if sentence.figure == figure)
    figures = {found["name"]: found for found in report["figures"]}
    about = [figures[name] for name in one.figures if name in figures]
    names = {name for found in about for name in found["marks"]}
    behind = [row for row in rows if stands_behind(row, names)]
    more = len(behind) - MOST_ROWS
    return html.Div(
        [
            html.Dl([part for found in about for part in _definition(found)]),
            *_targets(about),
            html.P(say("pages.evidence_windows", windows=_windows(about)), className="note")
            if any(found["window"] for found in about)
            else None,
            html.H3(say("pages.evidence_marks")),
            listed(behind[:MOST_ROWS], files),
            html.P(say("pages.evidence_more", count=more), className="note") if more > 0 else None,
        ],
        className="evidence",
    )


def _definition(figure: Figure) -> list[Component]:
    title, text = figure_title(figure["name"]), figure_definition(figure["name"])
    more = html.A(say("guide.figures"), href=guide_address(figure["name"]))
    return [html.Dt(title), html.Dd([text, " ", more])]


def _targets(figures: Sequence[Figure]) -> list[Part]:
    found = {
        target["id"]: target
        for figure in figures
        for target in (figure["target"], *figure["other_targets"])
        if target
    }
    if not found:
        return []
    return [html.H3(say("pages.evidence_targets")), html.Ul([_target(target) for target in found.values()])]


def _target(target: Target) -> Component:
    verdict = verdict_words(target["verdict"]) if target["judged"] else say("pages.target_shown")
    return html.Li(
        say(
            "pages.target",
            rule=target["rule"],
            edition=target["edition"],
            verdict=verdict,
            citation=target["citation"],
            basis=say(f"pages.basis_{target['basis']}"),
        )
    )


def _windows(figures: Sequence[Figure]) -> str:
    spans = sorted({(span[0], span[1]) for figure in figures for span in figure["window"]})
    shown = ", ".join(say("pages.from_to", start=clock(start), end=clock(end)) for start, end in spans[:8])
    return f"{shown}, ..." if len(spans) > 8 else shown


def hands_off(told: Causes | None) -> list[Part]:
    """Return where the hands-off seconds went: one bar by cause, and what if no pause were long."""
    if told is None:
        return []
    return [
        html.H2(told.heading),
        _bar([(bar.tone, bar.share) for bar in told.bars], "causes-bar"),
        html.Ul(
            [
                html.Li([html.Span([html.Strong(bar.text), f" {bar.words}"])], className=bar.tone)
                for bar in told.bars
            ],
            className="causes",
        ),
        what_if(told),
    ]


def _bar(pieces: Sequence[tuple[str, float]], kind: str) -> Component:
    """Return a bar of pieces, each a tone and its share of the whole width."""
    return html.Div(
        [html.I(className=tone, style={"width": f"{100 * share:.3f}%"}) for tone, share in pieces],
        className=kind,
        **{"aria-hidden": "true"},
    )


def what_if(told: Causes) -> Component:
    """Return a control that caps every pause, and what follows; the script of the pages does the sums."""
    limit, value = f"{told.cap_s:g}{THIN}s", f"{told.fraction(told.cap_s) * 100:.0f}{THIN}%"
    return html.Div(
        [
            html.Label(say("pages.what_if"), htmlFor=WHAT_IF),
            tag(
                "input",
                type="range",
                id=WHAT_IF,
                min=str(LEAST_CAP_S),
                max=str(MOST_CAP_S),
                step="1",
                value=f"{told.cap_s:g}",
                aria_valuetext=say("pages.what_if_value", limit=limit, value=value),
            ),
            html.Output(limit, htmlFor=WHAT_IF),
            _bar([(bar.tone, bar.capped_share) for bar in told.bars], "causes-bar capped"),
            html.P(say("figures.what_if", limit=limit, value=value), className="said"),
            html.P(say("pages.what_if_note"), className="note"),
        ],
        className="what-if",
        **{
            "data-asked": f"{told.asked_s:.6f}",
            "data-pauses": json.dumps([[round(length, 6) for length in bar.pauses] for bar in told.bars]),
            "data-said": _template("figures.what_if"),
            "data-value": _template("pages.what_if_value"),
        },
    )


def _template(key: str) -> str:
    """Return a sentence with its blanks as they are, for the script of the pages to fill in."""
    return say(key, limit="{limit}", value="{value}")


def problems(report: Report, answers: Callable[[ProblemOut], str | None] | None = None) -> list[Part]:
    """Return what is wrong or odd in the data, each with its place and remedy.

    ``answers`` gives where on the page a problem is answered, null where it is not.
    """
    found = report["problems"]
    if not found:
        return [html.P(say("pages.no_problems"), className="note")]
    order = {"blocking": 0, "check": 1, "note": 2}
    files = {source["source_id"]: source["file"] for source in report["sources"]}
    return [
        html.Ul(
            [
                html.Li(
                    [
                        html.Span(say(f"pages.severity_{one['severity']}"), className="hidden"),
                        one["message"],
                        html.Span(_where(one["source_id"], one["place"], files), className="where"),
                        *_answer(answers(one) if answers else None),
                    ],
                    className=one["severity"],
                )
                for one in sorted(found, key=lambda one: order[one["severity"]])
            ],
            className="problems",
        )
    ]


def _answer(address: str | None) -> list[Part]:
    return [" ", html.A(say("links.answer"), href=address)] if address else []


def _where(source: str | None, place: str | None, files: Mapping[str, str]) -> str:
    parts = [files.get(source, source) if source else "", where(place) if place else ""]
    text = ", ".join(part for part in parts if part)
    return f" ({text})" if text else ""
