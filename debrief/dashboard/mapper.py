"""One file as it was understood, with everything in it that can be answered otherwise."""

from collections.abc import Iterable, Sequence
from typing import Any

from dash import html
from dash.development.base_component import Component

from debrief.dashboard import shell
from debrief.dashboard.answers import SEPARATOR, UNMAPPED, Understood, meanings
from debrief.dashboard.markup import Part
from debrief.importers import Understanding
from debrief.importers.mapping import MEANINGS
from debrief.importers.notices import Question
from debrief.importers.places import where
from debrief.importers.understanding import ColumnSeen, LabelSeen, MarkSeen
from debrief.model.values import number
from debrief.picture.captions import kind_words, plain
from debrief.words import POPULATIONS, say

MEANINGS_ID = "meanings"
MEANINGS_PLACE = "all-meanings"
ANSWER = "answer"
MOST_LABELS = 200


def source_section(number_: int, one: Understood) -> Component:
    """Return the section of one source; ``number_`` counts the sources of the event."""
    if one.found is None:
        return html.Section([html.H2(one.file), html.P(one.refusal, className="refusal")], className="source")
    found = one.found
    return html.Section(
        [
            html.H2(one.file),
            html.P(_how_read(found), className="note"),
            html.Form(
                [
                    _questions(number_, found),
                    html.Div(
                        [
                            html.Div(
                                [
                                    html.H3(say("pages.columns_title")),
                                    _columns(number_, found.columns),
                                    html.H3(say("pages.labels_title")),
                                    _labels(number_, found.labels),
                                ]
                            ),
                            html.Div(
                                [html.H3(say("pages.preview_title")), _preview(found.preview)],
                                className="preview",
                            ),
                        ],
                        className="mapping",
                    ),
                ],
                **{"data-answers": ANSWER, "aria-label": one.file},
            ),
            _problems(found),
        ],
        className="source",
    )


def about(settings: dict[str, Any]) -> Component:
    """Return what is asked of the event itself: who was treated, where, when."""
    populations = [("", say("pages.population_none"))] + [
        (name, say(f"pages.population_{name}")) for name in POPULATIONS
    ]
    return html.Section(
        [
            html.H2(say("pages.about_title")),
            html.Form(
                [
                    shell.field(
                        say("pages.about_population"),
                        shell.select(
                            populations, settings.get("population") or "", **_answers("event", "population")
                        ),
                    ),
                    *(
                        shell.field(
                            say(f"pages.about_{key}"),
                            shell.text(f"event{SEPARATOR}{key}", str(settings.get(key) or "")),
                        )
                        for key in ("weight_kg", "unit", "date")
                    ),
                ],
                className="fields",
                **{"data-answers": ANSWER, "aria-label": say("pages.about_title")},
            ),
            html.P(say("pages.about_note"), className="note"),
        ]
    )


def _answers(*name: object) -> dict[str, str]:
    return {"data-answer": SEPARATOR.join(str(part) for part in name)}


def _how_read(found: Understanding) -> str:
    parts = [
        say("pages.read_sheet", sheet=found.sheet) if found.sheet else say("pages.read_text"),
        say("pages.read_encoding", encoding=found.encoding) if found.encoding else "",
        say("pages.read_rows", count=found.row_count) if found.row_count else "",
        say("pages.read_remembered") if found.remembered else "",
    ]
    return " · ".join(part for part in parts if part)


def _questions(number_: int, found: Understanding) -> Component:
    """Return what the file leaves open, and who recorded it."""
    kinds = [(kind, say(f"pages.kind_{kind}")) for kind in ("device", "person", "sensor")]
    asked = [_question(number_, question) for question in found.questions]
    if found.scale and not any(question.key == "times" for question in found.questions):
        scale = "elapsed" if found.scale == "elapsed" else "clock"
        choices = [("clock", say("importing.choice_clock")), ("elapsed", say("importing.choice_elapsed"))]
        asked.append(
            shell.field(say("pages.ask_times"), shell.select(choices, scale, **_answers(number_, "times")))
        )
    if found.kind:
        asked.append(
            shell.field(say("pages.ask_kind"), shell.select(kinds, found.kind, **_answers(number_, "kind")))
        )
    return html.Div(asked, className="fields questions")


def _question(number_: int, question: Question) -> Component:
    choices = [(choice.value, choice.text) for choice in question.choices]
    if question.assumed is None:
        choices = [("", say("pages.choose")), *choices]
    return html.Label(
        [
            html.Span(question.text),
            shell.select(choices, question.assumed or "", **_answers(number_, question.key)),
        ],
        className="field open",
    )


def _columns(number_: int, columns: Sequence[ColumnSeen]) -> Component:
    choices = [(meaning, say(f"pages.meaning_{meaning}")) for meaning in MEANINGS]
    rows = [
        html.Tr(
            [
                html.Th(column.name, scope="row"),
                html.Td(
                    shell.select(
                        choices,
                        column.meaning,
                        **_answers(number_, "column", column.name),
                        **{"aria-label": say("pages.column_means", column=column.name)},
                    )
                ),
                html.Td(say(f"pages.sure_{column.sure}"), className="note"),
                html.Td(" · ".join(column.samples), className="as-written"),
            ],
            className="unknown" if column.sure == "unknown" else "",
        )
        for column in columns
    ]
    return _table([say(f"pages.columns_{name}") for name in ("name", "means", "sure", "samples")], rows)


def _labels(number_: int, labels: Sequence[LabelSeen]) -> Component:
    if not labels:
        return html.P(say("pages.labels_none"), className="note")
    rows = [
        html.Tr(
            [
                html.Th(label.label or say("pages.label_empty"), scope="row", className="as-written"),
                html.Td(str(label.count), className="number"),
                html.Td(_meaning(number_, label)),
                html.Td(say(f"pages.label_{label.sure}"), className="note"),
            ],
            className="unknown" if label.sure == UNMAPPED else "",
        )
        for label in labels[:MOST_LABELS]
    ]
    return _table([say(f"pages.labels_{name}") for name in ("label", "count", "means", "sure")], rows)


def _meaning(number_: int, label: LabelSeen) -> Component:
    """Return what a label may mean: suggestions, and the rest, which the script brings when it is opened."""
    standing = "" if label.sure == UNMAPPED else _value(label.kind, label.detail)
    choices = [("", say("pages.not_understood"))]
    if standing:
        choices.append((standing, meaning_words(label.kind, label.detail)))
    choices += [
        (
            _value(likely.kind, likely.detail),
            say("pages.perhaps", what=meaning_words(likely.kind, likely.detail)),
        )
        for likely in label.suggestions
    ]
    return shell.select(
        choices,
        standing,
        **_answers(number_, "label", label.key),
        **{"data-more": MEANINGS_ID, "aria-label": say("pages.label_means", label=label.label)},
    )


def all_meanings() -> Component:
    """Return every meaning once, hidden; the lists of the labels take them from here when they are opened."""
    return html.Select(
        [
            html.Optgroup(
                [
                    html.Option(meaning_words(kind, detail or None), value=_value(kind, detail or None))
                    for kind, detail in group
                ],
                label=say(f"pages.family_{family}"),
            )
            for family, group in meanings()
        ],
        id=MEANINGS_ID,
        hidden=True,
        **{"aria-hidden": "true"},
    )


def meaning_words(kind: str, detail: str | None) -> str:
    """Return a meaning in words: ``drug: epinephrine``."""
    return f"{kind_words(kind)}: {plain(detail)}" if detail else kind_words(kind)


def _value(kind: str, detail: str | None) -> str:
    return f"{kind}{SEPARATOR}{detail}" if detail else kind


def _preview(marks: Sequence[MarkSeen]) -> Part:
    if not marks:
        return html.P(say("pages.preview_none"), className="note")
    rows = [
        html.Tr(
            [
                html.Td(where(mark.place), className="note"),
                html.Td(mark.time_text, className="as-written"),
                html.Td(mark.clock, className="number"),
                html.Td(meaning_words(mark.kind, mark.detail)),
                html.Td(_amount(mark)),
                html.Td(mark.note or "", className="note"),
            ],
            className="unknown" if mark.kind == UNMAPPED else "",
        )
        for mark in marks
    ]
    heads = [say(f"pages.preview_{name}") for name in ("place", "written", "read", "kind", "amount", "note")]
    return _table(heads, rows)


def _amount(mark: MarkSeen) -> str:
    amount = "" if mark.amount is None else number(mark.amount)
    return " ".join(part for part in (amount, mark.unit or "", mark.route or "") if part)


def _table(heads: Iterable[str], rows: Sequence[Component]) -> Component:
    return html.Div(
        html.Table(
            [html.Thead(html.Tr([html.Th(head, scope="col") for head in heads])), html.Tbody(list(rows))]
        ),
        className="scroll",
    )


def _problems(found: Understanding) -> Part:
    if not found.problems:
        return None
    return html.Details(
        [
            html.Summary(say("pages.file_problems", count=len(found.problems))),
            html.Ul(
                [
                    html.Li(
                        [
                            problem.message,
                            html.Span(
                                f" ({where(problem.place)})" if problem.place else "", className="where"
                            ),
                        ],
                        className=problem.severity,
                    )
                    for problem in found.problems
                ],
                className="problems",
            ),
        ]
    )
