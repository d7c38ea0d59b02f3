"""The start page: drop files, open a sample, or go on with an event that is kept here."""

import re

from dash import Dash, Input, Output, ctx, html, no_update
from dash.dependencies import ALL
from dash.development.base_component import Component

from debrief import words
from debrief.dashboard import shell
from debrief.dashboard.files import MOST_BYTES
from debrief.dashboard.reports import Reports
from debrief.dashboard.shelf import Entry, Shelf, entry_title, sample_paths
from debrief.importers.folder import TYPING

ADDRESS = re.compile(r"/")
KEPT = "kept-events"


def layout(reports: Reports, search: str) -> Component:
    """Return the page."""
    return shell.framed(
        html.H1(words.say("pages.start_title")),
        html.P(words.say("pages.start_lead"), className="lead"),
        _drop(),
        html.P(
            [html.A(words.say("typing.link"), href="/type"), " ", words.say("typing.link_note")],
            className="type",
        ),
        html.Div(
            [
                html.Section(
                    [
                        html.H2(words.say("pages.samples_title")),
                        html.P(words.say("pages.samples_lead")),
                        _samples(),
                    ]
                ),
                html.Section(
                    [
                        html.H2(words.say("pages.kept_title")),
                        html.P(html.A(words.say("pages.kept_list"), href="/events")),
                        html.Div(_kept(reports.shelf), id=KEPT),
                    ],
                ),
            ],
            className="pair",
        ),
        kind="start",
    )


def register(app: Dash, reports: Reports) -> None:
    """Add the callback that lets an event go."""

    @app.callback(
        Output(KEPT, "children"),
        Input({"remove": ALL}, "n_clicks"),
        prevent_initial_call=True,
    )
    def remove(clicks: list[int | None]) -> object:
        if not any(clicks):
            return no_update
        reports.shelf.remove(ctx.triggered_id["remove"])
        return _kept(reports.shelf)


def _drop() -> Component:
    """The place to drop files; the script of the pages adds the control that opens the system's chooser."""
    return html.Form(
        [
            html.P(words.say("pages.drop"), className="say", id="drop-say"),
            html.Div(className="chooser", **{"data-label": words.say("pages.drop_choose")}),
            html.P(words.say("pages.drop_note", most_mb=MOST_BYTES // 1_000_000), className="note"),
            html.Fieldset(
                [
                    html.Legend(words.say("pages.one_or_several")),
                    html.Ul(className="chosen"),
                    html.Button(words.say("pages.as_one"), type="button", **{"data-as": "one"}),
                    html.Button(words.say("pages.as_several"), type="button", **{"data-as": "several"}),
                    html.P(words.say("pages.one_or_several_note"), className="note"),
                ],
                className="ask",
                hidden=True,
            ),
            html.P(
                role="status",
                className="status",
                **{"data-working": words.say("pages.reading"), "data-failed": words.say("pages.not_sent")},
            ),
        ],
        id="drop",
    )


def _samples() -> Component:
    return html.Ul(
        [html.Li(html.A(sample_title(name), href=f"/event/{name}")) for name in sample_paths()],
        className="rows",
    )


def sample_title(name: str) -> str:
    """Return what a sample event shows, in words; its name where it has none."""
    return words.sentences().get(f"pages.sample_{name}", name.replace("_", " "))


def _kept(shelf: Shelf) -> Component:
    entries = shelf.entries()
    if not entries:
        return html.P(words.say("pages.kept_none"), className="note")
    return html.Ul([_row(entry) for entry in entries], className="rows")


def _row(entry: Entry) -> Component:
    name = entry_title(entry)
    return html.Li(
        [
            html.A(name, href=f"/event/{entry.event_id}"),
            html.Span(
                ", ".join(entry.files[:3]) + (" ..." if len(entry.files) > 3 else ""), className="note"
            ),
            html.A(
                words.say("pages.to_understood"),
                href=f"/event/{entry.event_id}/understood",
                className="small",
            ),
            html.A(words.say("typing.go_on_row"), href=f"/type/{entry.event_id}", className="small")
            if (entry.folder / TYPING).is_file()
            else None,
            html.Button(
                words.say("pages.remove"),
                id={"remove": entry.event_id},
                type="button",
                className="plain small",
                **{
                    "aria-label": words.say("pages.remove_name", name=name),
                    "data-sure": words.say("pages.remove_sure"),
                },
            ),
        ]
    )
