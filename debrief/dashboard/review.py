"""The reviewer's part of an event page: marks to take out, put back or add, time zero and the end to set.

Files stay as they came. Changes stand beside them in the event folder.
"""

import re
from collections import Counter
from dataclasses import dataclass, replace
from typing import Any

from dash import Dash, Input, Output, State, ctx, html, no_update
from dash.development.base_component import Component

from debrief.dashboard import links, shell, written
from debrief.dashboard.adding import adding
from debrief.dashboard.addresses import event_in
from debrief.dashboard.answers import SEPARATOR
from debrief.dashboard.event_folder import read_settings, write_settings
from debrief.dashboard.markup import Part, to_html
from debrief.dashboard.reports import Measured, Reports
from debrief.dashboard.shell import PARTS, URL
from debrief.dashboard.written import TAKEN, take_out
from debrief.errors import BadSetting, DebriefError
from debrief.importers import corrections
from debrief.importers.corrections import Action, Correction
from debrief.importers.tying import tied
from debrief.model.times import clock
from debrief.picture.captions import kind_words, known
from debrief.words import say

Said = dict[str, Any]
"""What the script of the pages hands on of a control."""

MARKS = "marks"
FILTER = "marks-filter"
TURNED = "marks-page"
MOMENT = "moment"
ADD = "add-mark"
STATUS = "review-status"
CHANGED = "changed"
MOST_ROWS = 150
MOMENTS = ("time_zero", "end")


@dataclass(frozen=True)
class Listed:
    """Which marks the table lists: of one kind, of one source, which page of them. Empty is all."""

    kind: str = ""
    source: str = ""
    page: int = 0

    @classmethod
    def of(cls, chosen: Said | None, turned: Said | None) -> "Listed":
        """Return what was chosen, and the page that was turned to while it was."""
        said = chosen["said"] if chosen else {}
        page, _, among = (turned["value"] if turned else "").partition(SEPARATOR)
        alone = cls(said.get("kind") or "", said.get("source") or "")
        return replace(alone, page=int(page)) if page and among == alone.among else alone

    @property
    def among(self) -> str:
        """What the pages are pages of."""
        return f"{self.kind}{SEPARATOR}{self.source}"


def panel(measured: Measured, listed: Listed = Listed()) -> list[Part]:
    """Return the marks of an event and what a reviewer can do with them."""
    return [
        html.P(say("pages.review_note"), className="note"),
        html.Div([_moments(measured), adding(ADD, measured.moment(0.0))], className="pair review"),
        html.Div(links.section(measured), id="links"),
        _filter(measured, listed),
        html.Div(table(measured, listed), id=MARKS),
    ]


def table(measured: Measured, listed: Listed) -> list[Part]:
    """Return a page of the table of marks."""
    rows = [
        row for row in measured.rows if listed.kind in ("", row.kind) and listed.source in ("", row.source)
    ]
    last = max(len(rows) - 1, 0) // MOST_ROWS
    listed = replace(listed, page=min(max(listed.page, 0), last))
    first = listed.page * MOST_ROWS
    shown = rows[first : first + MOST_ROWS]
    pager = _pager(listed, first, len(shown), len(rows)) if last else None
    return [pager, written.table(shown, measured.files, take_out)]


def _pager(listed: Listed, first: int, shown: int, count: int) -> Component:
    """Return which rows are shown, and the way to those before and after."""
    turns = (("earlier", -1, first > 0), ("later", 1, first + shown < count))
    return html.P(
        [
            html.Span(
                say("pages.rows_shown", first=first + 1, last=first + shown, count=count), role="status"
            ),
            *(
                html.Button(
                    say(f"pages.rows_{name}"),
                    type="button",
                    className="plain",
                    disabled=not can,
                    **{
                        "data-set": TURNED,
                        "data-value": f"{listed.page + by}{SEPARATOR}{listed.among}",
                        "data-turn": name,
                    },
                )
                for name, by, can in turns
            ),
        ],
        className="under pager",
    )


def moments(measured: Measured) -> list[tuple[str, str]]:
    """Return what can be time zero or the end: the moment as event.json has it, and the mark in words."""
    rows = (row for row in measured.rows if row.time is not None and row.kind != "compression")
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


def take(measured: Measured, name: str) -> None:
    """Take a mark or a whole run of them out, or put it back where it is out. ``name`` is that of a row."""
    row = next(row for row in measured.rows if row.name == name)
    action: Action = "restore" if row.out else "drop"
    for change in tied(measured.event, (Correction(action, mark) for mark in row.marks)):
        corrections.append(measured.folder, change)


def add(
    measured: Measured,
    time: str,
    kind: str,
    *,
    detail: str = "",
    amount: str = "",
    unit: str = "",
    route: str = "",
    length: str = "",
    note: str = "",
) -> None:
    """Add a mark at a time on the reference clock.

    Raises
    ------
    BadSetting
        Where the time or a number cannot be read or nothing was chosen.
    """
    if not kind:
        raise BadSetting(say("pages.add_no_kind"))
    if measured.assessment.aligned.read(time.strip()) is None:
        raise BadSetting(say("pages.add_bad_time", read=time, example=measured.moment(0.0)))
    for name, text in (("amount", amount), ("length", length)):
        if text and not re.fullmatch(r"\d+([.,]\d+)?", text.strip()):
            raise BadSetting(say(f"pages.add_bad_{name}", read=text))
    numbers = {"amount": amount.strip().replace(",", "."), "length": length.strip().replace(",", ".")}
    values = {"detail": detail, "unit": unit, "route": route, "note": note} | numbers
    corrections.add_mark(measured.folder, time.strip(), kind, **values)


def _moments(measured: Measured) -> Component:
    settings = read_settings(measured.folder)
    choices = moments(measured)
    fields = []
    for key in MOMENTS:
        standing = str(settings.get(key) or "")
        own = [] if not standing or standing in dict(choices) else [(standing, standing)]
        by_rule = [("", say("pages.by_rule", basis=_basis(measured, key)))]
        fields.append(
            shell.field(
                say(f"pages.set_{key}"),
                shell.select([*by_rule, *own, *choices], standing, **{"data-answer": key}),
            )
        )
    return html.Form(
        fields, className="fields", **{"data-answers": MOMENT, "aria-label": say("pages.set_title")}
    )


def _basis(measured: Measured, key: str) -> str:
    basis = measured.report["time_zero"]["basis"] if key == "time_zero" else measured.report["end"]["basis"]
    return known(f"pages.basis_of_{key}.{basis}", kind_words(basis))


def _filter(measured: Measured, listed: Listed) -> Component:
    kinds = Counter(row.kind for row in measured.rows)
    sources = Counter(row.source for row in measured.rows)
    return html.Form(
        [
            shell.field(
                say("pages.filter_kind"),
                shell.select(
                    [("", say("pages.any"))]
                    + [(kind, f"{kind_words(kind)} ({count})") for kind, count in kinds.most_common()],
                    listed.kind,
                    **{"data-answer": "kind"},
                ),
            ),
            shell.field(
                say("pages.filter_source"),
                shell.select(
                    [("", say("pages.any"))]
                    + [
                        (name, f"{measured.files.get(name, name)} ({count})")
                        for name, count in sources.items()
                    ],
                    listed.source,
                    **{"data-answer": "source"},
                ),
            ),
        ],
        className="fields filter",
        **{"data-answers": FILTER, "aria-label": say("pages.filter_title")},
    )


def register(app: Dash, reports: Reports) -> None:
    """Add the callbacks of the reviewer's part: each writes into the event folder, and all is said anew."""
    where = State(URL, "pathname")

    def measured(path: str) -> Measured:
        return reports.get(event_in(path))

    @app.callback(
        Output(PARTS, "data", allow_duplicate=True),
        Input(FILTER, "data"),
        Input(TURNED, "data"),
        where,
        prevent_initial_call=True,
    )
    def list_marks(chosen: Said | None, turned: Said | None, path: str) -> object:
        if not ctx.triggered or not ctx.triggered[0]["value"]:
            return no_update
        return {MARKS: to_html(table(measured(path), Listed.of(chosen, turned)))}

    @app.callback(
        Output(CHANGED, "data"),
        Output(STATUS, "children"),
        Input(TAKEN, "data"),
        Input(MOMENT, "data"),
        Input(ADD, "data"),
        Input(links.SAID, "data"),
        where,
        prevent_initial_call=True,
    )
    def change(taken: Said, moment: Said, adding: Said, linked: Said, path: str) -> tuple[object, object]:
        if not ctx.triggered or not ctx.triggered[0]["value"]:
            return no_update, no_update
        event = measured(path)
        try:
            with reports.changing(event.event_id) as folder:
                event = event.at(folder)
                if ctx.triggered_id == MOMENT:
                    set_moment(event, moment["name"], moment["value"])
                elif ctx.triggered_id == ADD:
                    add(event, **adding["said"])
                elif ctx.triggered_id == links.SAID:
                    links.take(event, linked)
                else:
                    take(event, taken["value"])
        except DebriefError as error:
            return no_update, str(error)
        return reports.state(event.event_id), ""
