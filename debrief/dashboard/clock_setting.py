"""What a reviewer can say of a clock: as found, another match, by hand; and what was said of it."""

from collections.abc import Sequence
from datetime import datetime

from dash import html
from dash.development.base_component import Component

from debrief.dashboard import shell
from debrief.dashboard.clock_writing import OTHER, listed_sources
from debrief.dashboard.event_folder import read_settings
from debrief.dashboard.markup import Part, tag
from debrief.dashboard.reports import Measured
from debrief.dashboard.stamps import reading
from debrief.importers import corrections
from debrief.importers.corrections import ROLES, Correction
from debrief.model.contract import SourceOut
from debrief.model.times import to_s
from debrief.picture.clock_words import (
    clocks_of,
    counts_itself,
    name_of,
    other_ways,
    reference_of,
    standing_in_words,
    way_words,
)
from debrief.words import fold, say

SET = "clock-set"
UNDONE = "clock-undone"
REFERENCE = "clock-reference"
DEVICE = "clock-device"


def setting(measured: Measured, source: SourceOut) -> list[Part]:
    """Return the form that sets one clock, and what was set of it before."""
    reference = reference_of(measured.report)
    named = name_of(reference) if reference else ""
    own = reading(measured, source["source_id"])
    others = reading(measured, reference["source_id"]) if reference else own
    sides = [(name, say(f"clock_page.is_{name}")) for name in ("behind", "ahead")]
    roles = [("", say("clock_page.role_none")), *((role, say(f"talk.role.{role}")) for role in ROLES)]
    by_hand, readings = ("by_hand",), ("readings",)
    form = html.Form(
        [
            tag("input", type="hidden", data_answer="source", value=source["source_id"]),
            _field("choice", shell.select(_choices(source, reference), "", **{"data-answer": "kind"})),
            _field("direction", shell.select(sides, "behind", **{"data-answer": "direction"}), by_hand),
            _field("offset", shell.text("offset"), by_hand),
            _field("spread", shell.text("spread", "5"), by_hand),
            _field("source_reads", shell.text("source_reads"), readings, example=own),
            _field(
                "reference_reads",
                shell.text("reference_reads"),
                readings,
                reference=named,
                example=others,
            ),
            _field("role", shell.select(roles, "", **{"data-answer": "role"})),
            _field("why", shell.text("why")),
            html.Button(say("clock_page.set"), type="submit"),
        ],
        className="fields",
        **{"data-submits": SET, "aria-label": say("clock_page.set_title", name=name_of(source))},
    )
    return [form, *_changes(measured, source, reference)]


def _field(name: str, control: Part, kinds: Sequence[str] = (), **blanks: str) -> Component:
    return shell.field(say(f"clock_page.{name}", **blanks), control, kinds)


def _choices(source: SourceOut, reference: SourceOut | None) -> list[tuple[str, str]]:
    """Return what can be said of a clock; by hand only where it counts from midnight."""
    choices, clock = [("", say("clock_page.choose"))], source["clock"]
    if clock is not None and source["group"] == 1:
        found = standing_in_words(clock["offset"], source, reference)
        choices.append(("accept", say("clock_page.accept", standing=found)))
    for number, other in enumerate(other_ways(source)):
        choices.append((f"{OTHER}{number}", way_words(other, source, reference)))
    names = ("readings",) if counts_itself(source) or counts_itself(reference) else ("by_hand", "readings")
    return [*choices, *((name, say(f"clock_page.{name}")) for name in names)]


def _changes(measured: Measured, source: SourceOut, reference: SourceOut | None) -> list[Part]:
    """Return what was set of a clock, the newest first, and the way back."""
    made = [
        one
        for one in corrections.standing(corrections.read(measured.folder))
        if one.action == "clock" and one.mark == source["source_id"]
    ]
    if not made:
        return []
    undo = html.Button(
        say("clock_page.undo"),
        type="button",
        **{"data-set": UNDONE, "data-value": source["source_id"]},
    )
    return [
        undo if made[-1].clock else None,
        html.H4(say("clock_page.changes")),
        html.Ul([html.Li(_change(one, source, reference)) for one in reversed(made)], className="changes"),
    ]


def _change(one: Correction, source: SourceOut, reference: SourceOut | None) -> str:
    what = say("clock_page.was_undone")
    if one.clock is not None:
        offset, low, high = (to_s(edge) for edge in (one.clock.offset, one.clock.low, one.clock.high))
        near, far = (high, low) if offset < 0 else (low, high)
        what = say(
            f"clock_page.was_{one.clock.by}",
            standing=standing_in_words(offset, source, reference),
            low=standing_in_words(near, source, reference),
            high=standing_in_words(far, source, reference),
        )
    role = say(f"talk.role.{one.role}") if one.role in ROLES else say("clock_page.role_none")
    when = datetime.fromisoformat(one.at).strftime("%Y-%m-%d %H:%M") if one.at else ""
    key = "clock_page.changed_why" if one.why else "clock_page.changed"
    return say(key, when=when, role=role, what=what, **({"why": one.why} if one.why else {}))


def choose_device(measured: Measured, source: SourceOut, labels: Sequence[str]) -> Part:
    """Return the choice of the device that a source came from, where there are some on the log."""
    if not labels or counts_itself(source):
        return None
    rows = (row for row in listed_sources(measured) if row["file"] == source["file"])
    chosen = next(rows, {}).get("device") or ""
    called = next((label for label in labels if fold(label) == fold(source["name"])), None)
    none = say("clock_log.device_called", device=called) if called else say("clock_log.device_none")
    choices = [("", none), *((label, label) for label in dict.fromkeys([*labels, chosen]) if label)]
    return html.Form(
        [
            tag("input", type="hidden", data_answer="source", value=source["source_id"]),
            shell.field(
                say("clock_log.device_choice"),
                shell.select(choices, chosen, **{"data-answer": "device"}),
            ),
        ],
        className="fields",
        **{"data-answers": DEVICE, "aria-label": say("clock_log.device_of", name=name_of(source))},
    )


def choose_reference(measured: Measured) -> Component:
    """Return the choice of the clock on which all times are told."""
    sources, reference = clocks_of(measured.report), reference_of(measured.report)
    standing = read_settings(measured.folder).get("reference")
    chosen = (one["source_id"] for one in sources if standing in (one["source_id"], one["name"], one["file"]))
    by_rule = say("clock_page.reference_rule")
    if not standing and reference:
        by_rule = say("clock_page.reference_rule_name", name=name_of(reference))
    choices = [("", by_rule), *((source["source_id"], name_of(source)) for source in sources)]
    return html.Form(
        [
            shell.field(
                say("clock_page.reference_label"),
                shell.select(choices, next(chosen, ""), **{"data-answer": "reference"}),
            ),
            html.P(say("clock_page.reference_note"), className="note"),
        ],
        className="fields",
        **{"data-answers": REFERENCE, "aria-label": say("clock_page.reference_label")},
    )
