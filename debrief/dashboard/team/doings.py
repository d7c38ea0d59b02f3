"""Actions: what, which role, by when, what came of it; what is offered; those of earlier talks."""

from collections.abc import Callable, Sequence

from dash import html
from dash.development.base_component import Component

from debrief.dashboard import shell
from debrief.dashboard.addresses import event_part
from debrief.dashboard.markup import Part, tag
from debrief.dashboard.team.chapters import field, names
from debrief.model.contract import Report
from debrief.talk.actions import Earlier, offers
from debrief.talk.changes import MOST_IN_FIELD, STATES
from debrief.talk.kept import Action, Talk, in_order
from debrief.words import say

ACTIONS = "team-actions"
EARLIER = "team-earlier"


def place() -> Component:
    """Return where actions are shown, with the line for one more."""
    return html.Div(
        [
            html.Div(id=ACTIONS),
            html.Form(
                [
                    field("what", "talk.what"),
                    field("owner", "talk.owner", list="roles"),
                    field("due", "talk.due", type="date"),
                    html.Button(say("talk.add_action"), type="submit"),
                ],
                className="add fields actions",
                **{"data-adds": "action"},
            ),
            html.Div(id=EARLIER),
        ]
    )


def actions(report: Report, talk: Talk) -> list[Part]:
    """Return what the event and the notes suggest, and the actions that were set."""
    offered = [
        html.Li(
            html.Button(
                say("talk.offer", what=offer.what),
                type="button",
                dir="auto",
                **{"data-turn": "offer", "data-value": offer.about, "data-what": offer.what},
            )
        )
        for offer in offers(report, talk)
    ]
    return [
        html.Ul(offered, className="offers") if offered else None,
        html.Ul([_action(one) for one in in_order(talk.actions.values())], className="actions"),
    ]


def earlier(found: Sequence[Earlier], title: Callable[[str], str]) -> list[Part]:
    """Return the actions of earlier talks: open ones to be settled, closed ones with what came of them.

    ``title`` gives what to call the event of a talk.
    """
    if not found:
        return []
    return [
        html.H3(say("talk.earlier")),
        html.Ul([_action(one.action, one, title(one.event_id)) for one in found], className="actions"),
    ]


def _action(action: Action, source: Earlier | None = None, event: str = "") -> Component:
    """Return an action; of one from an earlier talk only what came of it can be changed."""
    where = {"data-event": event_part(source.event_id)} if source else {}
    return html.Li(
        [
            html.P(action.what, className="what", dir="auto") if source else None,
            html.P(_from(action, event), className="note") if source else None,
            *(
                []
                if source
                else [
                    _input(action, "what"),
                    _input(action, "owner", list="roles"),
                    _input(action, "due", type="date"),
                ]
            ),
            _status(action),
            None if action.status == "open" else _input(action, "outcome"),
            html.Div(names(f"{action.what}\n{action.outcome}", roles=action.owner), className="names"),
        ],
        className=action.status,
        **{"data-action": action.id},
        **where,
    )


def _from(action: Action, event: str) -> str:
    """Return which talk an action comes from, who does it and by when, as far as that was written."""
    due = say("talk.due_by", due=action.due) if action.due else ""
    return " · ".join(part for part in (event, action.owner, due) if part)


def _input(action: Action, name: str, **more: str) -> Component:
    given = {"type": "text", "maxlength": str(MOST_IN_FIELD), "autocomplete": "off", "dir": "auto"} | more
    control = tag(
        "input", value=getattr(action, name), data_field=name, data_value=action.id, data_answer=name, **given
    )
    return html.Label([html.Span(say(f"talk.{name}")), control], className=f"field {name}")


def _status(action: Action) -> Component:
    choices = [(state, say(f"talk.state.{state}")) for state in STATES]
    chosen = shell.select(
        choices, action.status, **{"data-field": "status", "data-value": action.id, "data-answer": "status"}
    )
    return html.Label([html.Span(say("talk.status")), chosen], className="field status-of")
