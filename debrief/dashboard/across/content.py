"""The page of trends as HTML: what can be chosen, the chart, its sentences, its table."""

from calendar import monthrange
from collections.abc import Iterator, Mapping, Sequence
from typing import Any
from urllib.parse import urlencode

from dash import html
from dash.development.base_component import Component
from markupsafe import Markup

from debrief.cohorts.cohort import FILTERS, MEASURE_NAMES, Row
from debrief.cohorts.survival import Curve
from debrief.dashboard import shell
from debrief.dashboard.across.asked import BYS, CHARTS, Asked
from debrief.dashboard.across.made import Made
from debrief.dashboard.markup import Part, tag
from debrief.measures import BY_SUBJECT
from debrief.picture import svg
from debrief.picture.chart import POINT
from debrief.picture.chart_words import point_words, size_words, told_value
from debrief.picture.curve import curve_cells
from debrief.picture.trend_text import left_out_words, who_words
from debrief.picture.trend_words import gap_lines, registry_line, signal_lines, summary_lines
from debrief.picture.values import figure_definition, figure_title
from debrief.reports.making import is_invented
from debrief.words import say

ASKED = "asked-trend"
KEPT = "kept-cohort"
_FREE = ("unit", "setting", "population")
_ANY_PX = 1000
COLUMNS = ("label", "n", "value", "centre", "lower", "upper")


def form(asked: Asked, rows: Sequence[Row], named: Mapping[str, Any]) -> Component:
    """Return what can be chosen; every choice stands in the address."""

    def choice(name: str, options: Sequence[tuple[str, str]], chosen: str) -> Component:
        extra = [] if chosen in dict(options) else [(chosen, chosen)]
        control = shell.select([*options, *extra], chosen, **{"data-asks": name})
        return shell.field(say(f"trends_page.{name}"), control)

    def line(name: str, value: str, kind: str = "text") -> Component:
        control = tag("input", type=kind, value=value, data_asks=name, maxlength="120", autocomplete="off")
        label = "baseline_points" if name == "baseline" else name
        return shell.field(say(f"trends_page.{label}"), control)

    def filtered(name: str) -> Component:
        value = asked.where.get(name, "")
        if name in ("from", "to"):
            return line(name, value, "date")
        held = sorted({text for row in rows if (text := getattr(row, name))}) if name in _FREE else ()
        known = [(one, one) for one in held] or [
            (one, say(f"trends_page.says.{one}")) for one in FILTERS[name].choices
        ]
        return choice(name, [("", say("trends_page.any")), *known], value)

    return html.Form(
        [
            html.Div(
                [
                    shell.field(say("trends_page.measure"), _measures(asked.measure)),
                    choice("by", [(by, say(f"trends.by.{by}")) for by in BYS], asked.by),
                    choice("chart", [(one, _chart_words(one)) for one in ("", *CHARTS)], asked.chart),
                    choice(
                        "cohort", [("", say("trends_page.any")), *((one, one) for one in named)], asked.cohort
                    )
                    if named or asked.cohort
                    else None,
                ],
                className="fields",
            ),
            html.Div([filtered(name) for name in FILTERS], className="fields"),
            html.Div(
                [
                    line("baseline", asked.baseline),
                    line("phase", asked.phase),
                    line("note", asked.note),
                    html.A(say("trends_page.clear"), href="/trends", className="small"),
                ],
                className="fields",
            ),
        ],
        className="filter trend",
        role="search",
        **{"data-asking": ASKED, "aria-label": say("trends_page.show")},
    )


def keeping() -> Component:
    """Return the way to keep what is chosen as a cohort of the site's."""
    return html.Details(
        [
            html.Summary(say("trends_page.keep_title")),
            html.P(say("trends_page.keep_lead"), className="note"),
            html.Form(
                [
                    shell.field(say("trends_page.keep_name"), shell.text("name")),
                    html.Button(say("trends_page.keep"), type="submit"),
                ],
                className="fields",
                **{"data-submits": KEPT},
            ),
        ]
    )


def _chart_words(name: str) -> str:
    return say(f"trends_page.chart.{name or 'usual'}")


def _measures(chosen: str) -> Component:
    groups = [
        html.Optgroup(
            [
                html.Option(
                    figure_title(one.name), value=one.name, selected=True if one.name == chosen else None
                )
                for one in group
            ],
            label=say(f"guide.group.{subject}"),
        )
        for subject, group in BY_SUBJECT.items()
    ]
    last = html.Option(
        figure_title(MEASURE_NAMES[-1]),
        value=MEASURE_NAMES[-1],
        selected=True if chosen == MEASURE_NAMES[-1] else None,
    )
    return html.Select([*groups, last], **{"data-asks": "measure"})


def shown(made: Made, width: int) -> list[Part]:
    """Return the chart and all that is said of it."""
    trend, asked = made.trend, made.asked
    return [
        html.H2(figure_title(asked.measure), className="measure"),
        html.P(
            [figure_definition(asked.measure), " ", say(f"trends.chart.{trend.chart}")]
            if made.curve is None
            else figure_definition(asked.measure),
            className="note",
        ),
        html.Div(_chart(made, width), className="drawn scroll", tabIndex="0"),
        html.P(_files(made), className="under"),
        html.P(say("pages.invented"), className="note") if _invented(made) else None,
        html.Div(
            [
                _lines("signals_title", signal_lines(trend) if made.curve is None else [], "signals"),
                _lines("summary_title", [*(_asked(made)), *summary_lines(made.cohort, trend.fewest)]),
                _lines("registry_title", [registry_line(made.beside, trend.fewest)] if made.beside else []),
                _lines("who_title", list(_who(made))),
                _lines("first_title", gap_lines(made.gaps, made.cohort)),
                _lines("talks_title", list(_talks(made))),
                _lines("mind_title", list(trend.notes) if trend.points else []),
            ],
            className="told",
        ),
        html.Details(
            [
                html.Summary(say("trends_page.table_title")),
                html.Div(
                    table(made) if made.curve is None else _steps(made, made.curve),
                    className="scroll",
                    tabIndex="0",
                ),
            ],
            className="twin",
        )
        if trend.points
        else None,
    ]


def in_short(made: Made) -> str:
    """Return what changed on the page, to be read aloud."""
    picture = made.picture(_ANY_PX)
    return picture.description if picture else " ".join(made.trend.notes)


def _chart(made: Made, width: int) -> Part:
    picture = made.picture(width)
    if picture is None:
        return html.P(" ".join(made.trend.notes))
    links = {} if made.curve is not None else dict(_links(made))
    return Markup(svg.paint(picture, "page", name="-trend", links=links))


def _links(made: Made) -> Iterator[tuple[str, str]]:
    for row in range(len(made.trend.points)):
        yield f"{POINT}{row}", events_address(made, row)


def events_address(made: Made, row: int) -> str:
    """Return where the events of a point are listed."""
    label, where = made.trend.points[row].label, made.asked.where
    wanted = {key: where[key] for key in ("unit", "population") if key in where}
    if made.trend.by == "unit":
        dates = {key: where[old] for key, old in (("since", "from"), ("until", "to")) if old in where}
        return f"/events?{urlencode(wanted | {'unit': label} | dates)}"
    since, until = made.trend.points[row].more.get("after", label), label
    if made.trend.by != "miss":
        since, until = days_of(label)
    return f"/events?{urlencode(wanted | {'since': since, 'until': until})}"


def days_of(label: str) -> tuple[str, str]:
    """Return the first and the last day of a month (``2026-03``) or a quarter (``2026-Q1``)."""
    year, part = label.split("-")
    first, last = (int(part[1]) * 3 - 2, int(part[1]) * 3) if part.startswith("Q") else (int(part), int(part))
    end = monthrange(int(year), last)[1]
    return f"{year}-{first:02d}-01", f"{year}-{last:02d}-{end}"


def _files(made: Made) -> list[Part]:
    search = str(made.asked)
    days = sorted(row.date for row in made.cohort.rows if row.date)
    parts: list[Part] = [
        html.A(say("trends_page.download_csv"), href=f"/trends.csv{search}"),
        html.A(say("trends_page.download_svg"), href=f"/trends.svg{search}"),
    ]
    if days:
        cohort = {"cohort": made.asked.cohort} if made.asked.cohort else {}
        for name, value in (("month", days[-1][:7]), ("year", days[-1][:4])):
            words = say(f"trends_page.report_{name}", **{name: value})
            parts.append(html.A(words, href=f"/trends/report.pdf?{urlencode({name: value} | cohort)}"))
    return parts


def _invented(made: Made) -> bool:
    return bool(made.cohort.rows) and all(is_invented(row.setting) for row in made.cohort.rows)


def _lines(title: str, lines: Sequence[str], kind: str = "") -> Part:
    if not lines:
        return None
    return html.Section(
        [html.H2(say(f"trends_page.{title}")), html.Ul([html.Li(line) for line in lines], className=kind)]
    )


def _asked(made: Made) -> Iterator[str]:
    for target in made.trend.targets:
        yield say("trends.asked", rule=target["rule"], by=target["edition"])


def _who(made: Made) -> Iterator[str]:
    yield who_words(made.trend)
    if made.cohort.left_out:
        yield left_out_words(made.trend)


def _talks(made: Made) -> Iterator[str]:
    held = made.talks
    counts = {"held": held.talks, "closed": held.closed, "actions": held.actions}
    yield say("trends_page.talks", **counts, all=len(made.names))
    if held.half_took_s is not None:
        yield say("trends_page.talks_long", minutes=f"{held.half_took_s / 60:.0f}")


def table(made: Made) -> Component:
    """Return the points as rows, each with the way to its events."""

    def cells(row: int) -> Iterator[Component]:
        each = made.trend.points[row]
        yield html.Th(each.label, scope="row")
        yield html.Td(size_words(each), className="number")
        for name in COLUMNS[2:]:
            value = getattr(each.point, name)
            words = say("trends.nothing") if value is None else told_value(made.trend, value)
            yield html.Td(words, className="number")
        yield html.Td(point_words(made.trend, each) if each.point.signal else "")
        link = html.A(say("trends_page.events_of"), href=events_address(made, row))
        yield html.Td([link, html.Span(f" {each.label}", className="hidden")])

    heads = [say(f"trends.head.{name}") for name in ("label", "n", "value", "centre")]
    heads += [say("trends_page.limit_lower"), say("trends_page.limit_upper")]
    heads += [say("trends_page.signals_title"), say("pages.events_title")]
    return _table(made, heads, [list(cells(row)) for row in range(len(made.trend.points))])


def _steps(made: Made, curve: Curve) -> Component:
    """Return the steps of a curve as rows."""
    heads, *rows = curve_cells(curve)
    cells = [
        [html.Th(row[0], scope="row"), *(html.Td(one, className="number") for one in row[1:])] for row in rows
    ]
    return _table(made, heads, cells)


def _table(made: Made, heads: Sequence[str], rows: Sequence[list[Component]]) -> Component:
    return html.Table(
        [
            html.Caption(figure_title(made.asked.measure)),
            html.Thead(html.Tr([html.Th(one, scope="col") for one in heads])),
            html.Tbody([html.Tr(row) for row in rows]),
        ]
    )
