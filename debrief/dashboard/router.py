"""Which page an address means."""

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from dash import Dash, html
from dash.development.base_component import Component

from debrief import words
from debrief.dashboard import shell
from debrief.dashboard.addresses import event_address, event_named
from debrief.dashboard.reports import Reports
from debrief.dashboard.shelf import NotOnTheShelf
from debrief.errors import DebriefError


@dataclass(frozen=True)
class Page:
    """One file of ``dashboard/pages``: the addresses it answers, its layout, its callbacks.

    ``layout`` takes the reports, what stands behind the question mark of the address, and what it names;
    ``register`` adds the callbacks to an application.
    """

    address: re.Pattern[str]
    layout: Callable[..., Component]
    register: Callable[[Dash, Reports], None]


def page_at(pages: Sequence[Page], path: str, search: str, reports: Reports) -> Component:
    """Return the page that an address means, or one that says why it cannot be shown."""
    for page in pages:
        if match := page.address.fullmatch(path):
            named = match.groupdict()
            if "event_id" in named:
                named["event_id"] = event_named(named["event_id"])
            try:
                return page.layout(reports, search or "", **named)
            except NotOnTheShelf as error:
                return refusal(
                    words.say("pages.not_kept_title"), words.say("pages.not_kept", name=str(error))
                )
            except DebriefError as error:
                return refusal(words.say("pages.cannot_title"), str(error), named.get("event_id"))
    return refusal(words.say("pages.no_page_title"), words.say("pages.no_page"))


def refusal(heading: str, text: str, event_id: str | None = None) -> Component:
    """Return a page that says what is wrong and leads on: to an event's files, and to all events."""
    files = None
    if event_id:
        files = html.A(words.say("pages.to_understood"), href=event_address(event_id, "understood"))
    return shell.framed(
        html.H1(heading),
        html.P(text),
        html.P(files) if files else None,
        html.P(html.A(words.say("pages.back_to_start"), href="/")),
        kind="narrow",
    )
