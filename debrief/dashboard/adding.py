"""The form for one more mark: its time, what happened, and what a mark of that kind can hold."""

from collections.abc import Iterator, Mapping, Sequence

from dash import html
from dash.development.base_component import Component

from debrief.dashboard import shell
from debrief.dashboard.markup import Part
from debrief.picture.captions import cause_words, kind_words, plain, rhythm_words
from debrief.words import CAUSES, DETAILS, DRUGS, KINDS, RHYTHMS, say

ROUTED = ("drug",)
TIMED = ("pause", "cannulation", "ultrasound", "rhythm_check", "pulse_check", "analysis", "airway_attempt")
"""Kinds that can have a route, and those that can have a length."""


def adding(store: str, example: str, more: Sequence[Component] = ()) -> Component:
    """Return the form; what does not belong to the chosen kind is hidden by the script of the pages.

    Parameters
    ----------
    store
        Where the script puts what was written.
    example
        A time as the reference clock reads.
    more
        Fields beside those of a mark.
    """
    return html.Form(
        [
            *mark_fields(say("pages.add_time", example=example), {}),
            *more,
            html.Button(say("pages.add"), type="submit"),
        ],
        className="fields",
        **{"data-submits": store, "aria-label": say("pages.add_title")},
    )


def mark_fields(time: str, values: Mapping[str, str]) -> list[Component]:
    """Return the fields for what one mark holds.

    Parameters
    ----------
    time
        What to ask for as its time.
    values
        What stands already, by column.
    """

    def value(name: str) -> str:
        return values.get(name, "")

    kinds = [(name, kind_words(name)) for name in KINDS if name not in ("compression", "unmapped")]
    units = tuple(name for name, _ in kinds if KINDS[name].unit)
    if value("kind") not in ("", *dict(kinds)):
        kinds.append((value("kind"), kind_words(value("kind"))))
    routes = {name: plain(name) for name in DETAILS["route"]}
    return [
        shell.field(time, shell.text("time", value("time"))),
        shell.field(
            say("pages.add_kind"),
            shell.select([("", say("pages.choose")), *kinds], value("kind"), **{"data-answer": "kind"}),
        ),
        *(
            _for(where, value("kind"), say("pages.add_detail"), _choice("detail", names, value("detail")))
            for names, where in _detailed([name for name, _ in kinds])
        ),
        _for(units, value("kind"), say("pages.add_amount"), shell.text("amount", value("amount"))),
        _for(units, value("kind"), say("pages.add_unit"), shell.text("unit", value("unit"))),
        _for(ROUTED, value("kind"), say("pages.add_route"), _choice("route", routes, value("route"))),
        _for(TIMED, value("kind"), say("pages.add_length"), shell.text("length", value("length"))),
        shell.field(say("pages.add_note"), shell.text("note", value("note"))),
    ]


def _for(kinds: Sequence[str], kind: str, words: str, control: Part) -> Component:
    """Return a field that is for some kinds of mark, shown where the kind that stands is one of them."""
    made = shell.field(words, control, kinds)
    made.hidden = kind not in kinds
    return made


def _detailed(kinds: Sequence[str]) -> Iterator[tuple[dict[str, str], tuple[str, ...]]]:
    """Yield what detail can hold, each name in words, and the kinds of mark that hold it."""
    tables = {
        "rhythm": {name: rhythm_words(name) for name in RHYTHMS},
        "drug": {name: plain(name) for name in DRUGS},
        "cause": {name: cause_words(name) for name in CAUSES},
    }
    tables |= {name: {one: plain(one) for one in found} for name, found in DETAILS.items() if name != "route"}
    for name, found in tables.items():
        if holders := tuple(kind for kind in kinds if KINDS[kind].detail == name):
            yield found, holders


def _choice(name: str, names: Mapping[str, str], value: str = "") -> Component:
    own = [] if value in ("", *names) else [(value, plain(value))]
    choices = [("", say("pages.choose_none")), *names.items(), *own]
    return shell.select(choices, value, **{"data-answer": name})
