"""What can be stepped through by keyboard: marks and pauses in time order, each in a sentence."""

from collections.abc import Sequence

from dash import html
from dash.development.base_component import Component

from debrief.dashboard.column import stretch
from debrief.dashboard.markup import Part, tag
from debrief.dashboard.reports import Measured
from debrief.model.contract import Occurrence, Pause
from debrief.model.times import clock
from debrief.picture.captions import cause_words, length, named
from debrief.words import say

STEPS = "steps"
SAID = "step-said"
KEYS = "keys"
TURNS = ("previous", "next", "previous-pause", "next-pause", "to")
"""What the buttons do; the script of the pages knows them by these names."""

_KEYS = (
    (",", "previous"),
    (".", "next"),
    ("[", "previous-pause"),
    ("]", "next-pause"),
    ("f", "to"),
    ("?", "keys"),
)
_NOT_STEPPED = frozenset({"compression", "ventilation"})


def steps(measured: Measured) -> list[Part]:
    """Return an entry for every mark and every pause; single compressions and breaths are left out."""
    marks = [one for one in measured.report["occurrences"] if one["kind"] not in _NOT_STEPPED]
    pauses = measured.report["pauses"]
    return [
        *(_mark(measured, one, number, len(marks)) for number, one in enumerate(marks, start=1)),
        *(_pause(measured, one, number, len(pauses)) for number, one in enumerate(pauses, start=1)),
    ]


def _mark(measured: Measured, one: Occurrence, number: int, count: int) -> Component:
    written = measured.written.get(one["lead"], "")
    source = one["lead"].partition(":")[0]
    file = measured.files.get(source, source)
    text = say(
        "pages.step",
        time=clock(one["time"]),
        what=named(one),
        written=written,
        source=file,
        number=number,
        count=count,
    )
    return _entry(measured, text, one["time"], one["time"])


def _pause(measured: Measured, one: Pause, number: int, count: int) -> Component:
    text = say(
        "pages.step_pause",
        time=clock(one["start"]),
        length=length(one["length"]),
        cause=cause_words(one["cause"]),
        number=number,
        count=count,
    )
    return _entry(measured, text, one["start"], one["end"], **{"data-pause": "yes"})


def _entry(measured: Measured, text: str, start: float, end: float, **more: str) -> Component:
    low, high = stretch([(start, end)], measured.extent)
    place = {"data-at": f"{start:.3f}", "data-low": f"{low:.1f}", "data-high": f"{high:.1f}"}
    return html.Li(text, **place, **more)


def keys(listed: Sequence[tuple[str, str]] = ()) -> list[Part]:
    """Return the list of keys with what each does, and the switch that makes single keys do nothing."""
    return [
        html.H2(say("pages.keys_title")),
        html.Table(
            html.Tbody(
                [
                    html.Tr([html.Th(html.Kbd(key), scope="row"), html.Td(does)])
                    for key, does in listed or [(key, say(f"pages.key_{does}")) for key, does in _KEYS]
                ]
            )
        ),
        html.Label(
            [tag("input", type="checkbox", id="single-keys"), html.Span(say("pages.keys_on"))],
            className="switch",
        ),
        html.P(say("pages.keys_note"), className="note"),
        html.Button(say("pages.keys_close"), type="button", **{"data-closes": ""}),
    ]
