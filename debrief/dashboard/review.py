"""The reviewer's part of an event page: marks to take out, put back or add, time zero and the end to set.

Files stay as they came. Changes stand beside them in the event folder.
"""

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from dash import Dash, Input, Output, State, ctx, html, no_update
from dash.development.base_component import Component

from debrief.dashboard import correcting, links, shell, written
from debrief.dashboard.adding import adding
from debrief.dashboard.addresses import event_in
from debrief.dashboard.answers import SEPARATOR
from debrief.dashboard.markup import Part, to_html
from debrief.dashboard.reports import Measured, Reports
from debrief.dashboard.shell import PARTS, URL
from debrief.dashboard.written import TAKEN
from debrief.errors import DebriefError
from debrief.importers.corrections import Action, writing
from debrief.importers.corrections.values import typed
from debrief.importers.corrections.writing import NOBODY, By
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
        html.Div(
            [_moments(measured), adding(ADD, measured.moment(0.0), correcting.who_and_why())],
            className="pair review",
        ),
        html.Div(links.section(measured), id="links"),
        html.Div(correcting.history(measured), id=correcting.HISTORY),
        html.Div(id=correcting.FORM),
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
    return [pager, written.table(shown, measured.files, written.acts)]


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


def set_moment(measured: Measured, key: str, moment: str, who: By = NOBODY) -> None:
    """Set time zero or the end, or leave it to the rule where the moment is empty."""
    name: Action = "time_zero" if key == "time_zero" else "end"
    writing.set_moment(measured.folder, measured.event, name, moment or None, who)


def take(measured: Measured, name: str) -> None:
    """Take a mark or a whole run of them out, or put it back where it is out. ``name`` is that of a row."""
    row = next(row for row in measured.rows if row.name == name)
    writing.count(measured.folder, measured.event, row.marks, row.out)


def add(measured: Measured, said: Mapping[str, str]) -> None:
    """Add a mark at a time on the reference clock.

    Raises
    ------
    BadSetting
        Where the time or a number cannot be read or nothing was chosen.
    """
    columns = ("time", "kind", "detail", "amount", "unit", "route", "length", "note")
    values = typed({name: said.get(name, "") for name in columns})
    writing.add(measured.folder, measured.event, values, correcting.by(said))


def _moments(measured: Measured) -> Component:
    choices = moments(measured)
    fields = []
    for key in MOMENTS:
        standing = getattr(measured.event.context, key) or ""
        own = [] if not standing or standing in dict(choices) else [(standing, standing)]
        by_rule = [("", say("pages.by_rule", basis=_basis(measured, key)))]
        fields.append(
            shell.field(
                say(f"pages.set_{key}"),
                shell.select([*by_rule, *own, *choices], standing, **{"data-answer": key}),
            )
        )
    return html.Form(
        [*correcting.who_and_why(), *fields],
        className="fields",
        **{"data-answers": MOMENT, "aria-label": say("pages.set_title")},
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
        Output(PARTS, "data", allow_duplicate=True),
        Input(written.CORRECT, "data"),
        where,
        prevent_initial_call=True,
    )
    def open_form(opened: Said | None, path: str) -> object:
        if not opened:
            return no_update
        return {correcting.FORM: to_html(correcting.form(measured(path), opened["value"]))}

    @app.callback(
        Output(CHANGED, "data"),
        Output(STATUS, "children"),
        Input(TAKEN, "data"),
        Input(MOMENT, "data"),
        Input(ADD, "data"),
        Input(links.SAID, "data"),
        Input(correcting.SAID, "data"),
        Input(correcting.STEPPED, "data"),
        where,
        prevent_initial_call=True,
    )
    def change(
        taken: Said, moment: Said, adding: Said, linked: Said, corrected: Said, stepped: Said, path: str
    ) -> tuple[object, object]:
        if not ctx.triggered or not ctx.triggered[0]["value"]:
            return no_update, no_update
        event = measured(path)
        try:
            with reports.changing(event.event_id) as folder:
                event = event.at(folder)
                if ctx.triggered_id == MOMENT:
                    if moment["name"] not in MOMENTS:  # who and why alone
                        return no_update, no_update
                    set_moment(event, moment["name"], moment["value"], correcting.by(moment["said"]))
                elif ctx.triggered_id == ADD:
                    add(event, adding["said"])
                elif ctx.triggered_id == correcting.SAID:
                    correcting.keep(event, corrected["said"])
                elif ctx.triggered_id == correcting.STEPPED:
                    correcting.step(event, stepped["value"])
                elif ctx.triggered_id == links.SAID:
                    links.take(event, linked)
                else:
                    take(event, taken["value"])
        except DebriefError as error:
            return no_update, str(error)
        return reports.state(event.event_id), ""
