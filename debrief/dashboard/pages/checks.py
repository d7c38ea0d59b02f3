"""The log of clock checks: each device with its error over time, and a form for one more check."""

import re
from collections.abc import Iterable
from dataclasses import dataclass

from dash import Dash, Input, Output, ctx, html, no_update
from dash.development.base_component import Component
from markupsafe import Markup

from debrief import targets
from debrief.clocks.log import AGAINST, MOST, Entry, Log, add, devices, new_check, read_log, today, withdraw
from debrief.clocks.standing import Standing, standings
from debrief.dashboard import shell
from debrief.dashboard.markup import Part, tag, to_html
from debrief.dashboard.reports import Reports
from debrief.dashboard.review import Said
from debrief.dashboard.shell import PARTS
from debrief.errors import DebriefError
from debrief.model.event import ClockCheck
from debrief.picture import svg
from debrief.picture.clock_log import (
    drift_sentence,
    error_words,
    kept_words,
    last_words,
    notes_of,
    today_words,
)
from debrief.picture.device_clock import lay_device_clock
from debrief.words import say

ADDRESS = re.compile(r"/checks")
FORM = "check-form"
DEVICES = "checked-devices"
NEW = "new-check"
TURNED = "turned-check"
STATUS = "check-status"
WIDTH = 820
YES = "yes"
RESTORE = "+"
"""Stands before the id of a check that is to count again."""
COLUMNS = ("date", "device", "reference", "error", "notes")


@dataclass(frozen=True)
class Filled:
    """What of the form stays for the next device: the other clock, the day, the role."""

    against: str = AGAINST
    date: str = ""
    role: str = ""


def layout(reports: Reports, search: str) -> Component:
    """Return the page; what is on the log fills it."""
    return shell.framed(
        html.H1(say("clock_log.title")),
        html.P(say("clock_log.lead"), className="lead"),
        html.Div(id=FORM),
        html.P(id=STATUS, role="status", className="status"),
        html.Div(id=DEVICES),
        shell.store(NEW),
        shell.store(TURNED),
        kind="checks",
    )


def register(app: Dash, reports: Reports) -> None:
    """Add the callback that keeps a check, withdraws one or lets it count again, and shows the log anew."""
    path, limit = reports.shelf.clock_log, targets.load(None, reports.site).clock_check_days

    @app.callback(
        Output(PARTS, "data", allow_duplicate=True),
        Output(STATUS, "children"),
        Output(STATUS, "className"),
        Input(NEW, "data"),
        Input(TURNED, "data"),
        prevent_initial_call="initial_duplicate",
    )
    def change(new: Said | None, turned: Said | None) -> tuple[object, object, str]:
        said, form = "", Filled()
        try:
            if ctx.triggered_id == NEW and new:
                entry = _entry(**new["said"])
                said = kept_words(add(path, entry))
                form = Filled(entry.check.against or "", entry.check.date or "", entry.role)
            elif ctx.triggered_id == TURNED and turned:
                restore = turned["value"].startswith(RESTORE)
                withdraw(path, turned["value"].removeprefix(RESTORE), restore=restore)
                said = say("clock_log.counts_again" if restore else "clock_log.no_longer")
            log = read_log(path)
        except DebriefError as error:
            return no_update, str(error), "status bad"
        parts = {DEVICES: to_html(listed(log, limit))}
        if ctx.triggered_id != TURNED:
            parts[FORM] = to_html(asking(log, form))
        return parts, said, "status"


def _entry(
    *,
    device: str,
    device_reads: str,
    reference_reads: str,
    against: str,
    date: str,
    then_set: str,
    role: str,
) -> Entry:
    check = ClockCheck(device_reads, reference_reads, date or None, against or None, then_set == YES)
    return new_check(device, check, role)


def asking(log: Log, filled: Filled) -> Part:
    """Return the form for one more check, with what is known to choose from."""
    known = {
        "device": devices(log.entries),
        "against": dict.fromkeys([AGAINST, *(entry.check.against or "" for entry in log.entries)]),
        "role": dict.fromkeys(entry.role for entry in log.entries if entry.role),
    }
    return html.Form(
        [
            html.H2(say("clock_log.new")),
            html.Div(
                [
                    shell.field(say("clock_log.device"), _text("device")),
                    shell.field(say("clock_log.device_reads"), _text("device_reads")),
                    shell.field(say("clock_log.reference_reads"), _text("reference_reads")),
                    shell.field(say("clock_log.against"), _text("against", filled.against)),
                    shell.field(say("clock_log.date"), _day(filled.date)),
                    shell.field(
                        say("clock_log.set_then"),
                        shell.select(
                            [("", say("clock_log.set_no")), (YES, say("clock_log.set_yes"))],
                            "",
                            **{"data-answer": "then_set"},
                        ),
                    ),
                    shell.field(say("clock_log.role"), _text("role", filled.role)),
                    html.Button(say("clock_log.keep"), type="submit"),
                ],
                className="fields",
            ),
            *(_choices(name, texts) for name, texts in known.items()),
        ],
        **{"data-submits": NEW, "aria-label": say("clock_log.new")},
    )


def _text(name: str, value: str = "") -> Markup:
    return tag(
        "input",
        type="text",
        value=value,
        data_answer=name,
        maxlength=str(MOST),
        autocomplete="off",
        list=f"known-{name}",
    )


def _day(value: str) -> Markup:
    here = today().isoformat()
    return tag("input", type="date", value=value or here, max=here, data_answer="date")


def _choices(name: str, texts: Iterable[str]) -> Component:
    return html.Datalist([html.Option(value=text) for text in texts], id=f"known-{name}")


def listed(log: Log, stale_after_days: float | None = None) -> list[Part]:
    """Return each device with its error over time, after what is to be checked again."""
    found = standings(log.by_device(), today(), stale_after_days)
    if not found:
        return [html.P(say("clock_log.none_yet"), className="note"), *_errors(log)]
    return [_again(found), *_errors(log), *(_device(one, f"{number}") for number, one in enumerate(found))]


def _again(found: list[Standing]) -> Part:
    stale = [one for one in found if one.stale]
    if not stale:
        return html.P(say("clock_log.again_none", limit=f"{found[0].stale_after_days:g}"))
    names = [html.Li([html.Strong(_named(one)), html.Span(last_words(one))]) for one in stale]
    return html.Section([html.H2(say("clock_log.again")), html.Ul(names, className="rows")])


def _named(one: Standing) -> str:
    return say("clock_log.of_device", device=one.device, against=one.against)


def _errors(log: Log) -> list[Part]:
    if not log.errors:
        return []
    lines = html.Ul([html.Li(error) for error in log.errors])
    return [html.Section([html.H2(say("clock_log.errors")), lines], className="refusal")]


def _device(one: Standing, name: str) -> Part:
    picture = lay_device_clock(one, WIDTH)
    chart = None
    if picture is not None:
        drawing = Markup(svg.paint(picture, "page", name=name))
        chart = html.Div(drawing, className="drawn")
    return html.Section(
        [
            html.H2(_named(one)),
            html.P(
                [
                    html.Strong(last_words(one), className="stale" if one.stale else ""),
                    f" {today_words(one.now)} {drift_sentence(one.drift)}" if one.now else "",
                ]
            ),
            chart,
            _table(one),
        ],
        className="device",
    )


def _table(one: Standing) -> Part:
    count = len(one.entries)
    heads = [html.Th(say(f"clock_log.head_{name}"), scope="col") for name in COLUMNS]
    rows = [_row(entry) for entry in reversed(one.entries)]
    table = html.Table([html.Thead(html.Tr([*heads, html.Td()])), html.Tbody(rows)])
    return html.Details(
        [
            html.Summary(say("clock_log.checks_one" if count == 1 else "clock_log.checks", count=count)),
            html.Div(table, className="scroll", tabIndex="0", role="group", **{"aria-label": _named(one)}),
        ]
    )


def _row(entry: Entry) -> Component:
    cells = (
        entry.reading.date or "",
        entry.check.source_reads,
        entry.check.reference_reads,
        error_words(entry.reading.offset),
        ", ".join(notes_of(entry)),
    )
    key = "count_again" if entry.withdrawn else "withdraw"
    button = html.Button(
        say(f"clock_log.{key}"),
        type="button",
        className="plain small",
        **{
            "data-set": TURNED,
            "data-value": f"{RESTORE if entry.withdrawn else ''}{entry.id}",
            "aria-label": say(f"clock_log.{key}_of", device=entry.device, date=entry.reading.date),
        },
    )
    return html.Tr(
        [*map(html.Td, cells), html.Td(button, className="act")], className="out" if entry.withdrawn else ""
    )
