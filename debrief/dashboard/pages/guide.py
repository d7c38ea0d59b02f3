"""The guide: pages of help, and how each figure is computed."""

import re
from collections.abc import Iterable

from dash import Dash, html
from dash.development.base_component import Component

from debrief import guide
from debrief.dashboard import shell
from debrief.dashboard.reports import Reports
from debrief.words import say

ADDRESS = re.compile(r"/guide(?:/(?P<name>[^/]+))?")


def layout(reports: Reports, search: str, name: str | None = None) -> Component:
    """Return a page of help, the entry of a figure, or what there is."""
    page = next((page for page in guide.pages() if page.slug == name), None)
    if name is None:
        content = _contents()
    elif page:
        content = [html.H1(page.title), *(_block(block) for block in page.blocks)]
    else:
        content = _entry(guide.figure_entry(name))
    return shell.framed(*content, kind="guide")


def register(app: Dash, reports: Reports) -> None:
    """Add nothing: the pages of the guide only show."""


def _contents() -> list[Component]:
    return [
        html.H1(say("guide.title")),
        html.P(say("guide.lead"), className="lead"),
        _links((page.slug, page.title) for page in guide.pages()),
        html.H2(say("guide.figures")),
        *(
            html.Section(
                [
                    html.H3(say(f"guide.group.{group}")),
                    _links((name, say(f"figures.{name}.title")) for name in names),
                ]
            )
            for group, names in guide.GROUPS.items()
        ),
    ]


def _links(named: Iterable[tuple[str, str]]) -> Component:
    return html.Ul(
        [html.Li(html.A(text, href=shell.guide_address(name))) for name, text in named], className="rows"
    )


def _block(block: guide.Block) -> Component:
    if block.kind == "list":
        return html.Ul([html.Li(text) for text in block.texts])
    if block.kind == "table":
        names, *rows = block.rows
        return html.Div(
            html.Table(
                [
                    html.Thead(html.Tr([html.Th(name, scope="col") for name in names])),
                    html.Tbody(
                        [
                            html.Tr([html.Th(first, scope="row"), *(html.Td(cell) for cell in rest)])
                            for first, *rest in rows
                        ]
                    ),
                ]
            ),
            className="wide",
        )
    return html.H2(block.texts[0]) if block.kind == "heading" else html.P(block.texts[0])


def _entry(entry: guide.Entry) -> list[Component]:
    asked = [
        html.Li([asked.line, " ", html.Span(f"{_held(asked)} {asked.source}", className="note")])
        for asked in entry.asked
    ]
    return [
        html.H1(entry.title),
        html.P(entry.definition, className="lead"),
        html.H2(say("guide.formula")),
        html.P(entry.formula),
        html.P(say("guide.in_unit", unit=entry.unit), className="note"),
        html.H2(say("guide.asked")),
        html.Ul(asked) if asked else html.P(say("guide.nobody")),
        *_listed("variants", entry.variants),
        *_listed("missing", entry.missing),
    ]


def _held(asked: guide.Asked) -> str:
    return say("guide.in_editions", editions=", ".join(asked.editions))


def _listed(key: str, texts: tuple[str, ...]) -> list[Component]:
    if not texts:
        return []
    return [html.H2(say(f"guide.{key}")), html.Ul([html.Li(text) for text in texts])]
