"""What stands around every page: header, caution, colours, and the controls that all pages share."""

from collections.abc import Sequence
from functools import cache
from pathlib import Path

from dash import dcc, html
from dash.development.base_component import Component
from markupsafe import Markup

from debrief import words
from debrief.dashboard.addresses import event_address, event_in
from debrief.dashboard.event_folder import entry, entry_title
from debrief.dashboard.markup import Part, tag
from debrief.picture.theme import THEMES, variable

CONTENT = "main"
URL = "url"
PARTS = "parts"
DRAWN = "drawn-parts"
"""What is drawn at the width of the window; apart from the other parts, since both can come at one moment."""
EDITION = "edition"


def framed(*content: Part, kind: str = "", invented: bool = False, header: Part = None) -> Component:
    """Return content between the header and the caution that stands on every page."""
    return html.Div(
        [
            header if header is not None else top(),
            html.Main(list(content), id=CONTENT, className=kind, tabIndex="-1"),
            html.Footer(
                [
                    html.P(words.say("pages.caution"), className="caution"),
                    html.P(words.say("pages.invented"), className="invented") if invented else None,
                    _languages(),
                ]
            ),
        ]
    )


def _languages() -> Component:
    """Return the choice of the page's language; the script of the pages keeps it and asks anew."""
    choices = [(one.name, one.called) for one in words.LANGUAGES.values()]
    return html.Label(
        [words.say("pages.language"), select(choices, words.language().name, id="language")],
        className="language",
    )


def top(
    what: Part = None, links: Sequence[tuple[str, str, bool]] = (), before: Sequence[Component] = ()
) -> Component:
    """Return the quiet header: what stands left, the program's pages and the light; below, its own pages.

    ``links`` to these: the key of the words, the address, and whether it is this page; ``before`` stands
    before them.
    """
    own = [
        html.A(words.say(f"pages.{key}"), href=href, **({"aria-current": "page"} if here else {}))
        for key, href, here in links
    ]
    return html.Header(
        [
            html.Div(html.Strong(words.say("pages.name")), className="what") if what is None else what,
            html.Nav(
                [
                    html.A(words.say("pages.nav_events"), href="/events"),
                    html.A(words.say("trends_page.nav"), href="/trends"),
                    html.A(words.say("cases.nav"), href="/cases"),
                    html.A(words.say("pages.nav_start"), href="/"),
                    html.A(words.say("pages.nav_checks"), href="/checks"),
                    html.A(words.say("pages.nav_guide"), href="/guide"),
                    html.Button(words.say("pages.nav_light"), id="light", type="button", className="plain"),
                ],
                **{"aria-label": words.say("pages.nav_label")},
            ),
            html.Nav([*own, *before], className="own", **{"aria-label": words.say("pages.nav_own")})
            if own or before
            else None,
        ],
        className="top",
    )


EVENT_PAGES = ("event", "team", "sheet", "clocks", "understood", "case")
"""The pages of one event, in the order of the header. The first is at the address of the event itself."""


def event_links(event_id: str, here: str) -> list[tuple[str, str, bool]]:
    """Return the links of the header to the pages of one event; ``here`` is the one that is shown."""
    return [
        (f"nav_{page}", event_address(event_id, page if page != EVENT_PAGES[0] else ""), page == here)
        for page in EVENT_PAGES
    ]


def event_top(title: str, folder: Path, event_id: str, here: str) -> Component:
    """Return the header of a page of one event: what the page is, and below it which event."""
    what = [html.H1(title), html.P(entry_title(entry(event_id, folder)))]
    return top(html.Div(what, className="what"), links=event_links(event_id, here))


def guide_address(name: str) -> str:
    """Return where the guide explains a figure, or has a page of help."""
    return f"/guide/{name}"


def title(path: str) -> str:
    """Return the document's title for an address."""
    name = words.say("pages.name")
    if path == "/events":
        return f"{words.say('pages.nav_events')} - {name}"
    if path == "/cases":
        return f"{words.say('cases.page')} - {name}"
    if path == "/trends":
        return f"{words.say('trends_page.title')} - {name}"
    if path == "/checks":
        return f"{words.say('pages.nav_checks')} - {name}"
    if path.startswith("/type"):
        return f"{words.say('typing.title')} - {name}"
    if path.startswith("/guide"):
        return f"{words.say('guide.title')} - {name}"
    if event_id := event_in(path):
        page = path.rpartition("/")[2]
        key = f"pages.title_{page if page in EVENT_PAGES else EVENT_PAGES[0]}"
        return f"{words.say(key)} {event_id} - {name}"
    return name


def select(
    choices: Sequence[tuple[str, str]], chosen: str | None, **attributes: str | dict[str, str]
) -> Component:
    """Return a native list of choices ``(value, words)``; the script of the pages hands on what is chosen."""
    return html.Select(
        [
            html.Option(text, value=value, selected=True if value == chosen else None)
            for value, text in choices
        ],
        **attributes,
    )


def text(name: str, value: str = "") -> Markup:
    """Return a place for a line of text; the script of the pages hands on what is written."""
    return tag("input", type="text", value=value, data_answer=name, maxlength="200", autocomplete="off")


def field(words: str, control: Part, kinds: Sequence[str] = ()) -> Component:
    """Return a labelled control; ``kinds``: the kinds of mark that it is for, where not for all."""
    only = {"data-for": " ".join(kinds), "hidden": True} if kinds else {}
    return html.Label([html.Span(words), control], className="field", **only)


def store(name: str, data: object = None) -> Component:
    """Return a place in the page's memory."""
    return dcc.Store(id=name, data=data)


def tokens_css() -> str:
    """Return the colours of the picture as style variables, and the caution for the foot of printed pages."""
    caution = words.say("pages.caution").replace("\\", "\\\\").replace('"', '\\"')
    return f'{_colours_css()}@page{{@bottom-left{{content:"{caution}"}}}}'


@cache
def _colours_css() -> str:
    light, dim = (
        "".join(f"{variable(name)}:{value};" for name, value in THEMES[theme].items())
        for theme in ("light", "dim")
    )
    dark = f"{{color-scheme:dark;{dim}}}"
    return (
        f":root{{color-scheme:light;{light}}}"
        f"@media screen and (prefers-color-scheme:dark){{:root:not([data-theme=light]){dark}}}"
        f"@media screen{{:root[data-theme=dim]{dark}}}"
    )
