"""The reviewer's part of an event page: marks to take out, put back or add, time zero and the end to set.

Files stay as they came. Changes stand beside them in the event folder.
"""

import re
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from dash import Dash, Input, Output, State, ctx, html, no_update
from dash.development.base_component import Component

from debrief.dashboard import shell, written
from debrief.dashboard.answers import SEPARATOR
from debrief.dashboard.markup import Part, to_html
from debrief.dashboard.reports import Measured, Reports
from debrief.dashboard.shelf import OWN_FILES, read_settings, write_settings
from debrief.dashboard.shell import PARTS, URL
from debrief.dashboard.written import Row
from debrief.errors import BadSetting, DebriefError
from debrief.importers import corrections
from debrief.importers.corrections import Action, Correction
from debrief.model.times import clock
from debrief.picture.captions import kind_words
from debrief.words import KINDS, say

Said = dict[str, Any]
"""What the script of the pages hands on of a control."""

MARKS = "marks"
FILTER = "marks-filter"
MOMENT = "moment"
TAKEN = "taken"
ADD = "add-mark"
STATUS = "review-status"
CHANGED = "changed"
MOST_ROWS = 150
MOMENTS = ("time_zero", "end")


def panel(measured: Measured) -> list[Part]:
    """Return the marks of an event and what a reviewer can do with them."""
    return [
        html.P(say("pages.review_note"), className="note"),
        html.Div([_moments(measured), _adding(measured)], className="pair review"),
        _filter(measured),
        html.Div(table(measured, {}), id=MARKS),
    ]


def table(measured: Measured, chosen: dict[str, str]) -> list[Part]:
    """Return the table of marks, of one kind and one source where that is chosen."""
    kind, source = chosen.get("kind") or "", chosen.get("source") or ""
    rows = [row for row in measured.rows if kind in ("", row.kind) and source in ("", row.source)]
    more = len(rows) - MOST_ROWS
    return [
        written.table(rows[:MOST_ROWS], measured.files, _act),
        html.P(say("pages.marks_more", count=more), className="note") if more > 0 else None,
    ]


def moments(measured: Measured) -> list[tuple[str, str]]:
    """Return what can be time zero or the end: the moment as event.json has it, and the mark in words."""
    rows = (
        row for row in measured.rows if row.time is not None and row.count == 1 and row.kind != "compression"
    )
    found: dict[str, str] = {}
    for row in rows:
        words = say("pages.moment", at=clock(row.time or 0.0), written=row.written, label=row.label)
        found.setdefault(measured.moment(row.time or 0.0), words)
    return list(found.items())


def set_moment(measured: Measured, key: str, moment: str) -> None:
    """Write time zero or the end into event.json, or take it out where the moment is empty."""
    settings = read_settings(measured.folder)
    settings.pop(key, None)
    if moment:
        settings[key] = moment
    write_settings(measured.folder, settings)


def take(measured: Measured, mark: str) -> None:
    """Take a mark out, or put it back where it is out."""
    action: Action = "restore" if mark in measured.event.removed else "drop"
    corrections.append(measured.folder, Correction(action, mark))


def add(measured: Measured, time: str, kind: str, amount: str, unit: str, note: str) -> None:
    """Add a mark at a time on the reference clock.

    Raises
    ------
    BadSetting
        Where the time cannot be read or nothing was chosen.
    """
    if not kind:
        raise BadSetting(say("pages.add_no_kind"))
    if measured.assessment.aligned.read(time.strip()) is None:
        raise BadSetting(say("pages.add_bad_time", read=time, example=measured.moment(0.0)))
    if amount and not re.fullmatch(r"\d+([.,]\d+)?", amount.strip()):
        raise BadSetting(say("pages.add_bad_amount", read=amount))
    kind, _, detail = kind.partition(SEPARATOR)
    values = {"detail": detail, "amount": amount.strip().replace(",", "."), "unit": unit, "note": note}
    corrections.add_mark(measured.folder, time.strip(), kind, **values)


@contextmanager
def as_it_was_on_failure(folder: Path) -> Iterator[None]:
    """Put back what stands beside the files of an event where a change leaves nothing to be measured."""
    before = {
        path: path.read_bytes() if path.is_file() else None for path in (folder / name for name in OWN_FILES)
    }
    try:
        yield
    except DebriefError:
        for path, content in before.items():
            if content is not None:
                path.write_bytes(content)
            else:
                path.unlink(missing_ok=True)
        raise


def _moments(measured: Measured) -> Component:
    settings = read_settings(measured.folder)
    choices = moments(measured)
    fields = []
    for key in MOMENTS:
        standing = str(settings.get(key) or "")
        own = [] if not standing or standing in dict(choices) else [(standing, standing)]
        by_rule = [("", say("pages.by_rule", basis=_basis(measured, key)))]
        fields.append(
            _field(
                say(f"pages.set_{key}"), shell.select([*by_rule, *own, *choices], standing, **_answer(key))
            )
        )
    return html.Form(
        fields, className="fields", **{"data-answers": MOMENT, "aria-label": say("pages.set_title")}
    )


def _basis(measured: Measured, key: str) -> str:
    basis = measured.report["time_zero"]["basis"] if key == "time_zero" else measured.report["end"]["basis"]
    return basis.replace("_", " ")


def _adding(measured: Measured) -> Component:
    kinds = [(name, kind_words(name)) for name in KINDS if name not in ("compression", "unmapped")]
    return html.Form(
        [
            _field(say("pages.add_time", example=measured.moment(0.0)), shell.text("time")),
            _field(
                say("pages.add_kind"),
                shell.select(
                    [("", say("pages.choose")), *kinds], "", **_answer("kind"), **{"data-more": "meanings"}
                ),
            ),
            _field(say("pages.add_amount"), shell.text("amount")),
            _field(say("pages.add_unit"), shell.text("unit")),
            _field(say("pages.add_note"), shell.text("note")),
            html.Button(say("pages.add"), type="submit"),
        ],
        className="fields",
        **{"data-submits": ADD, "aria-label": say("pages.add_title")},
    )


def _filter(measured: Measured) -> Component:
    kinds = Counter(row.kind for row in measured.rows)
    sources = Counter(row.source for row in measured.rows)
    return html.Form(
        [
            _field(
                say("pages.filter_kind"),
                shell.select(
                    [("", say("pages.any"))]
                    + [(kind, f"{kind_words(kind)} ({count})") for kind, count in kinds.most_common()],
                    "",
                    **_answer("kind"),
                ),
            ),
            _field(
                say("pages.filter_source"),
                shell.select(
                    [("", say("pages.any"))]
                    + [
                        (name, f"{measured.files.get(name, name)} ({count})")
                        for name, count in sources.items()
                    ],
                    "",
                    **_answer("source"),
                ),
            ),
        ],
        className="fields filter",
        **{"data-answers": FILTER, "aria-label": say("pages.filter_title")},
    )


def _field(words: str, control: Component) -> Component:
    return html.Label([html.Span(words), control], className="field")


def _answer(name: str) -> dict[str, str]:
    return {"data-answer": name}


def _act(row: Row) -> Part:
    if row.count > 1:
        return None
    words = "put_back" if row.out else "take_out"
    return html.Button(
        say(f"pages.{words}"),
        type="button",
        className="plain small",
        **{
            "data-set": TAKEN,
            "data-value": row.name,
            "aria-label": say(f"pages.{words}_mark", label=row.label or kind_words(row.kind), at=row.written),
        },
    )


def register(app: Dash, reports: Reports) -> None:
    """Add the callbacks of the reviewer's part: each writes into the event folder, and all is said anew."""
    where = State(URL, "pathname")

    def measured(path: str) -> Measured:
        return reports.get(path.split("/")[2])

    @app.callback(
        Output(PARTS, "data", allow_duplicate=True), Input(FILTER, "data"), where, prevent_initial_call=True
    )
    def filter_marks(chosen: Said | None, path: str) -> object:
        return {MARKS: to_html(table(measured(path), chosen["said"]))} if chosen else no_update

    @app.callback(
        Output(CHANGED, "data"),
        Output(STATUS, "children"),
        Input(TAKEN, "data"),
        Input(MOMENT, "data"),
        Input(ADD, "data"),
        where,
        prevent_initial_call=True,
    )
    def change(taken: Said, moment: Said, adding: Said, path: str) -> tuple[object, object]:
        if not ctx.triggered or not ctx.triggered[0]["value"]:
            return no_update, no_update
        event = measured(path)
        try:
            with reports.shelf.writing, as_it_was_on_failure(event.folder):
                if ctx.triggered_id == MOMENT:
                    set_moment(event, moment["name"], moment["value"])
                elif ctx.triggered_id == ADD:
                    add(event, **adding["said"])
                else:
                    take(event, taken["value"])
                reports.get(event.event_id)
        except DebriefError as error:
            return no_update, str(error)
        return reports.state(event.event_id), ""
