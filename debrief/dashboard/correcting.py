"""Corrections on the page of an event: the form for one mark, and what was changed, with undo and redo."""

from collections.abc import Mapping
from typing import Any

from dash import html
from dash.development.base_component import Component

from debrief.dashboard import shell
from debrief.dashboard.adding import mark_fields
from debrief.dashboard.markup import Part, tag
from debrief.dashboard.reports import Measured
from debrief.dashboard.written import CORRECT
from debrief.importers import corrections
from debrief.importers.corrections import Correction, writing
from debrief.importers.corrections.values import typed
from debrief.importers.corrections.writing import By
from debrief.model.values import in_text
from debrief.picture.captions import kind_words, known, plain
from debrief.words import KINDS, say

SAID = "corrected"
STEPPED = "stepped"
FORM = "correction"
HISTORY = "changes"
COUNTS, OUT = "counts", "out"
MOST_SHOWN = 12
TAKING_BACK = "undo"


def by(said: Mapping[str, str]) -> By:
    """Return who says so and why, as a form of the page has it."""
    return By(said.get("role", ""), said.get("why", ""))


def role_choice() -> Component:
    """Return the choice of who says so, by role."""
    roles = [("", say("clock_page.role_none"))]
    roles += [(role, say(f"talk.role.{role}")) for role in corrections.ROLES]
    return shell.field(say("standing.role"), shell.select(roles, "", **{"data-answer": "role"}))


def who_and_why() -> list[Component]:
    """Return the fields for the role and the reason of a change."""
    return [role_choice(), shell.field(say("standing.why"), shell.text("why"))]


def form(measured: Measured, mark: str | None) -> Part:
    """Return the form for one mark, filled with what stands; nothing where none is chosen or it is gone."""
    row = measured.row_of.get(mark or "")
    if mark is None or row is None:
        return None
    values = writing.values_of(measured.event, mark)
    shown = {name: in_text(value) for name, value in values.items() if name != "role"}
    counted = OUT if mark in measured.event.removed else COUNTS
    lines = corrections.read(measured.folder)
    title = say("corrections.correct_mark", label=row.label or kind_words(row.kind), at=row.written)
    return html.Form(
        [
            html.H3(title),
            html.P(say("corrections.form_note"), className="note"),
            html.Div(
                [
                    tag("input", type="hidden", value=mark, data_answer="mark"),
                    *mark_fields(say("corrections.time"), shown),
                    shell.field(
                        say("corrections.counted"),
                        shell.select(
                            [(name, say(f"corrections.{name}")) for name in (COUNTS, OUT)],
                            counted,
                            **{"data-answer": "counted"},
                        ),
                    ),
                    *who_and_why(),
                    html.Button(say("corrections.keep"), type="submit"),
                    html.Button(
                        say("corrections.close"),
                        type="button",
                        className="plain",
                        **{"data-set": CORRECT, "data-value": ""},
                    ),
                ],
                className="fields",
            ),
            _history(measured, lines, [one for one in lines if mark in one.names]),
        ],
        className="correcting",
        **{"data-submits": SAID, "aria-label": title},
    )


def keep(measured: Measured, said: Mapping[str, str]) -> None:
    """Write down what was said of a mark in its form.

    Raises
    ------
    BadSetting
        Where there is no such mark, or a value cannot be.
    """
    mark, who = said["mark"], by(said)
    texts = {
        name: said[name] for name in ("time", "kind", "amount", "unit", "length", "note") if name in said
    }
    texts |= {name: said.get(name, "") for name in ("detail", "route")}
    writing.correct(measured.folder, measured.event, mark, typed(texts), who)
    out = said["counted"] == OUT
    if out != (mark in measured.event.removed):
        writing.count(measured.folder, measured.event, [mark], not out, who)


def step(measured: Measured, value: str) -> None:
    """Take changes back or bring them back: ``undo``, ``redo``, or ``undo`` and the key of the changes.

    Raises
    ------
    BadSetting
        Where there are none.
    """
    action, _, key = value.partition(" ")
    (writing.redo if action == "redo" else writing.undo)(measured.folder, key)


def history(measured: Measured) -> list[Part]:
    """Return what was changed of an event, the newest first, and the way back."""
    lines = corrections.read(measured.folder)
    if not lines:
        return []
    buttons = [
        html.Button(
            say(f"corrections.{name}", what=_what(measured, lines, changes[0])),
            type="button",
            className="plain",
            **{"data-set": STEPPED, "data-value": f"{name} {changes[0].key}"},
        )
        for name, changes in (("undo", corrections.to_undo(lines)), ("redo", corrections.to_redo(lines)))
        if changes
    ]
    return [
        html.H3(say("corrections.title")),
        html.P(buttons, className="under"),
        _history(measured, lines, lines, acts=True),
    ]


def _history(
    measured: Measured, lines: list[Correction], shown: list[Correction], acts: bool = False
) -> Part:
    """Return some of all the lines of an event, the newest first; nothing where there are none."""
    if not shown:
        return None
    stand = {one.key for one in corrections.standing(lines)}
    items = [_item(one, _what(measured, lines, one), stand, acts) for one in reversed(shown)]
    older = html.Details([html.Summary(say("corrections.older")), html.Ol(items[MOST_SHOWN:])])
    return html.Div(
        [html.Ol(items[:MOST_SHOWN]), older if len(items) > MOST_SHOWN else None], className="changes"
    )


def _item(one: Correction, what: str, stand: set[str], acts: bool) -> Component:
    """Return one line: what, who, when, why; struck out where it stands no more."""
    role = known(f"talk.role.{one.role}", "") if one.role else say("standing.somebody")
    when = say("corrections.by", role=role or say("standing.somebody"), at=one.at[:16].replace("T", " "))
    stands = one.action in ("undo", "redo") or one.key in stand
    undo = None
    if acts and stands and one.action not in ("undo", "redo"):
        undo = html.Button(
            say("corrections.take_back"),
            type="button",
            className="plain small",
            **{
                "data-set": STEPPED,
                "data-value": f"{TAKING_BACK} {one.key}",
                "aria-label": say("corrections.undo", what=what),
            },
        )
    why = f" {one.why}" if one.why else ""
    return html.Li(
        [
            html.Span(what) if stands else html.S(what),
            " ",
            html.Span(f"{when}{why}", className="note"),
            " ",
            undo,
        ]
    )


def in_words(one: Correction, named: str) -> str:
    """Return a change in words; ``named`` is what it is about."""
    changed = ", ".join(
        say("corrections.from_to", about=say(f"corrections.about_{about}"), was=was, to=to)
        for about in one.about
        if one.action in ("move", "relabel", "amend")
        for was, to in [(_value(one.was, about), _value(one.to, about))]
    )
    to = _value(one.to, "kind") if one.action == "add" else str(one.to.get("time") or "")
    rule = say("corrections.by_rule")
    return say(f"corrections.did_{one.action}", mark=named, changed=changed, to=to or rule, of=one.of)


def _what(measured: Measured, lines: list[Correction], one: Correction) -> str:
    if one.action in ("undo", "redo"):
        of = next((_what(measured, lines, each) for each in lines if each.key == one.of), "")
        return say(f"corrections.did_{one.action}", mark="", changed="", to="", of=of)
    rows = [measured.row_of.get(name) for name in one.names]
    words = [
        f"{row.written} {row.label or kind_words(row.kind)}" if row else name
        for row, name in zip(rows, one.names, strict=True)
    ]
    if one.action == "add":
        words = [str(one.to.get("time"))]
    return in_words(one, " + ".join(words))


def _value(values: Mapping[str, Any], about: str) -> str:
    """Return what stands or stood of one thing, in words."""
    columns = corrections.GROUPS.get(about, ())
    parts = [in_text(values.get(column)) for column in columns]
    if about == "kind" and parts[0] in KINDS:
        parts[0] = kind_words(parts[0])
        parts[1] = plain(parts[1]) if parts[1] else ""
    return " ".join(part for part in parts if part) or say("corrections.nothing")
