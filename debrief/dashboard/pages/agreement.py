"""How far two entries of one event agree, and what of it is to be settled."""

import re

from dash import Dash, html
from dash.development.base_component import Component

from debrief.dashboard import shell
from debrief.dashboard.addresses import event_address
from debrief.dashboard.reports import Reports
from debrief.dashboard.typed import second
from debrief.dashboard.typed.second import Both
from debrief.errors import BadSetting
from debrief.model.agreement import FARTHEST_S, Agreement, Entered, kappa
from debrief.model.times import clock
from debrief.picture.captions import kind_words, plain, rhythm_words
from debrief.words import KINDS, say

ADDRESS = re.compile(r"/event/(?P<event_id>[^/]+)/agreement")
COLUMNS = ("what", "first", "second", "state")

Difference = tuple[Entered | None, Entered | None]


def layout(reports: Reports, search: str, event_id: str) -> Component:
    """Return the page."""
    refused, found = "", None
    try:
        found = second.agreement(reports, event_id)
    except BadSetting as error:
        refused = str(error)
    again = html.P(
        [
            html.A(say("agreement.again"), href=f"/type/{second.sheet_of(event_id)}"),
            " ",
            html.Span(say("agreement.again_note"), className="note"),
        ]
    )
    return shell.framed(
        *(
            told(found, event_id)
            if found
            else [html.P(refused or say("agreement.none"), className="lead"), again]
        ),
        kind="agreement",
        invented=reports.invented(event_id),
        header=shell.event_top(say("agreement.title"), reports.shelf.folder(event_id), event_id, "agreement"),
    )


def told(both: Both, event_id: str) -> list[Component]:
    """Return the agreement in sentences, and the differences."""
    found = both.typed
    rhythms = found.details("rhythm") + found.details("rhythm_check")
    value = kappa(rhythms)
    sentences = [
        say(
            "agreement.summary",
            pairs=len(found.pairs),
            first=len(found.only_first),
            second=len(found.only_second),
            file=both.file,
            share=f"{100 * (found.share or 0):.0f}\u202f%",
        ),
        say(
            "agreement.times",
            same=found.within(0),
            minute=found.within(60),
            median=clock(found.median_apart_s or 0),
        ),
        say("agreement.kappa_none", count=len(rhythms))
        if value is None
        else say("agreement.kappa", count=len(rhythms), kappa=f"{value:.2f}"),
    ]
    return [
        html.P(sentences[0], className="lead"),
        html.P(say("agreement.formula", farthest=clock(FARTHEST_S)), className="note"),
        *(html.P(sentence) for sentence in sentences[1:]),
        html.H2(say("agreement.differences")),
        *_differences(both, event_id),
    ]


def differences(both: Both) -> list[tuple[Difference, bool]]:
    """Return each difference as both were typed, in order of time, and whether it was settled since."""

    def of(found: Agreement) -> list[Difference]:
        alone: list[Difference] = [
            *((one, None) for one in found.only_first),
            *((None, one) for one in found.only_second),
        ]
        return [*found.differing(), *alone]

    still = {(_key(one), _key(other)) for one, other in of(both.now)}
    listed = [((one, other), (_key(one), _key(other)) not in still) for one, other in of(both.typed)]
    return sorted(listed, key=lambda entry: min(mark.time_s for mark in entry[0] if mark))


def _key(one: Entered | None) -> object:
    return one and (one.kind, one.time_s, one.detail, one.amount, one.unit)


def _differences(both: Both, event_id: str) -> list[Component]:
    found = differences(both)
    if not found:
        return [html.P(say("agreement.no_differences"))]
    heads = [html.Th(say(f"agreement.head_{name}"), scope="col") for name in COLUMNS]
    rows = [
        html.Tr(
            [
                html.Td(kind_words(_either(pair).kind)),
                *(html.Td(_words(mark)) for mark in pair),
                html.Td(say("agreement.settled" if settled else "agreement.open")),
            ],
            className="out" if settled else "",
        )
        for pair, settled in found
    ]
    table = html.Table([html.Thead(html.Tr(heads)), html.Tbody(rows)])
    return [
        html.P(say("agreement.settle_note"), className="note"),
        html.P(html.A(say("agreement.to_event"), href=event_address(event_id) + "#review")),
        html.Div(
            table,
            className="scroll",
            tabIndex="0",
            role="group",
            **{"aria-label": say("agreement.differences")},
        ),
    ]


def _either(pair: Difference) -> Entered:
    return next(mark for mark in pair if mark)


def _words(mark: Entered | None) -> str:
    if mark is None:
        return say("agreement.absent")
    amount = f"{mark.amount:g} {mark.unit or ''}".strip() if mark.amount is not None else ""
    words = rhythm_words if KINDS[mark.kind].detail == "rhythm" else plain
    detail = words(mark.detail) if mark.detail else ""
    return " · ".join(part for part in (mark.written, detail, amount) if part)


def register(app: Dash, reports: Reports) -> None:
    """Add nothing: the page only shows."""
