"""The start page: drop files, open a sample, or go on with an event that is kept here."""

import re

from dash import Dash, Input, Output, ctx, html, no_update
from dash.dependencies import ALL
from dash.development.base_component import Component

from debrief import words
from debrief.dashboard import shell
from debrief.dashboard.addresses import event_address
from debrief.dashboard.event_folder import sample_paths
from debrief.dashboard.files import MOST_BYTES
from debrief.dashboard.reports import Reports
from debrief.dashboard.shelf import Shelf
from debrief.dashboard.typed.drafts import SHEET_ID
from debrief.errors import DebriefError

ADDRESS = re.compile(r"/")
KEPT = "kept-events"
DROPPED = "dropped-files"
"""The store that is told when files came."""
MOST_SHOWN = 8
"""How many events are shown here; the list of events has all."""


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
        shell.store(DROPPED),
        kind="start",
    )


def register(app: Dash, reports: Reports) -> None:
    """Add the callback that takes an event out, and shows what is kept after files came."""

    @app.callback(
        Output(KEPT, "children"),
        Input({"remove": ALL}, "n_clicks"),
        Input(DROPPED, "data"),
        prevent_initial_call=True,
    )
    def show_kept(clicks: list[int | None], dropped: int | None) -> object:
        if ctx.triggered_id != DROPPED:
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
            html.Ul(className="became rows", hidden=True),
            html.P(
                role="status",
                className="status",
                **{
                    "data-working": words.say("pages.reading"),
                    "data-failed": words.say("pages.not_sent"),
                    "data-progress": words.say(
                        "arriving.progress", number="{number}", total="{total}", file="{file}"
                    ),
                    "data-done": words.say(
                        "arriving.done", added="{added}", here="{here}", refused="{refused}"
                    ),
                    "data-big": words.say("arriving.too_big", file="{file}", most_mb=MOST_BYTES // 1_000_000),
                },
            ),
        ],
        id="drop",
        **{"data-most": str(MOST_BYTES)},
    )


def _samples() -> Component:
    return html.Ul(
        [html.Li(html.A(sample_title(name), href=event_address(name))) for name in sample_paths()],
        className="rows",
    )


def sample_title(name: str) -> str:
    """Return what a sample event shows, in words; its name where it has none."""
    return words.sentences().get(f"pages.sample_{name}", name.replace("_", " "))


def _kept(shelf: Shelf) -> Component:
    """Return the newest events kept; why none is shown where the registry cannot be opened."""
    try:
        rows = [_row(name, shelf.title(name)) for name in shelf.latest(MOST_SHOWN)]
    except DebriefError as error:
        return html.P(str(error), className="status bad")
    if not rows:
        return html.P(words.say("pages.kept_none"), className="note")
    return html.Ul(rows, className="rows")


def _row(event_id: str, name: str) -> Component:
    return html.Li(
        [
            html.A(name, href=event_address(event_id)),
            html.Span(event_id, className="note") if event_id != name else None,
            html.A(
                words.say("pages.to_understood"),
                href=event_address(event_id, "understood"),
                className="small",
            ),
            html.A(words.say("typing.go_on_row"), href=f"/type/{event_id}", className="small")
            if SHEET_ID.fullmatch(event_id)
            else None,
            html.Button(
                words.say("pages.remove"),
                id={"remove": event_id},
                type="button",
                className="plain small",
                **{
                    "aria-label": words.say("pages.remove_name", name=name),
                    "data-sure": words.say("pages.remove_sure"),
                },
            ),
        ]
    )
