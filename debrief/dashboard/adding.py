"""The form for one more mark: its time, what happened, and what a mark of that kind can hold."""

from collections.abc import Iterator, Mapping, Sequence

from dash import html
from dash.development.base_component import Component

from debrief.dashboard import shell
from debrief.picture.captions import cause_words, kind_words, plain, rhythm_words
from debrief.words import CAUSES, DETAILS, DRUGS, KINDS, RHYTHMS, say

ROUTED = ("drug",)
TIMED = ("pause", "cannulation", "ultrasound", "rhythm_check", "pulse_check", "analysis", "airway_attempt")
"""Kinds that can have a route, and those that can have a length."""


def adding(store: str, example: str) -> Component:
    """Return the form; what does not belong to the chosen kind is hidden by the script of the pages.

    Parameters
    ----------
    store
        Where the script puts what was written.
    example
        A time as the reference clock reads.
    """
    kinds = [(name, kind_words(name)) for name in KINDS if name not in ("compression", "unmapped")]
    units = tuple(name for name, _ in kinds if KINDS[name].unit)
    return html.Form(
        [
            shell.field(say("pages.add_time", example=example), shell.text("time")),
            shell.field(
                say("pages.add_kind"),
                shell.select([("", say("pages.choose")), *kinds], "", **{"data-answer": "kind"}),
            ),
            *(
                shell.field(say("pages.add_detail"), _choice("detail", names), where)
                for names, where in _detailed([name for name, _ in kinds])
            ),
            shell.field(say("pages.add_amount"), shell.text("amount"), units),
            shell.field(say("pages.add_unit"), shell.text("unit"), units),
            shell.field(
                say("pages.add_route"),
                _choice("route", {name: plain(name) for name in DETAILS["route"]}),
                ROUTED,
            ),
            shell.field(say("pages.add_length"), shell.text("length"), TIMED),
            shell.field(say("pages.add_note"), shell.text("note")),
            html.Button(say("pages.add"), type="submit"),
        ],
        className="fields",
        **{"data-submits": store, "aria-label": say("pages.add_title")},
    )


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


def _choice(name: str, names: Mapping[str, str]) -> Component:
    return shell.select([("", say("pages.choose_none")), *names.items()], "", **{"data-answer": name})
