"""What is said of a whole event: how it stands, who it was and what came of it, entered at any time.

Beside it, what somebody else changed meanwhile: the page asks for the event's version every few seconds.
"""

from collections.abc import Mapping, Sequence
from dataclasses import fields
from datetime import UTC, datetime
from typing import Any, cast

from dash import Dash, Input, Output, State, ctx, html, no_update
from dash.development.base_component import Component
from flask import Response, jsonify, request

from debrief.dashboard import shell
from debrief.dashboard.addresses import event_address, event_in
from debrief.dashboard.correcting import role_choice
from debrief.dashboard.event_folder import read_settings, write_settings
from debrief.dashboard.markup import Part, tag, to_html
from debrief.dashboard.reports import Reports
from debrief.dashboard.review import CHANGED, Said
from debrief.dashboard.shelf import Shelf
from debrief.dashboard.shell import PARTS, URL
from debrief.dashboard.typed.drafts import Draft
from debrief.dashboard.typed.second import sheet_of
from debrief.errors import BadSetting, DebriefError
from debrief.importers.folder import plan
from debrief.model.event import CATEGORIES, FLAGS, Context
from debrief.picture.captions import known, rhythm_words
from debrief.registry.changing import LOCKED
from debrief.registry.reading import Review
from debrief.registry.store import REVIEWS
from debrief.words import POPULATIONS, RHYTHMS, say

LINE = "standing-line"
FORMS = "standing"
STATUS = "standing-status"
REVIEWED = "standing-review"
ENTERED = "standing-entered"
NOT_ASKED = ("event_id", "time_zone", "reference", "time_zero", "end")
"""What is set elsewhere, or follows from the files."""
SCORE = "cerebral_performance"
ABOUT = tuple(one.name for one in fields(Context) if one.name not in NOT_ASKED)
_CHOICES = {"population": POPULATIONS, "first_rhythm": tuple(RHYTHMS), SCORE: tuple(map(str, CATEGORIES))}


def place() -> list[Component]:
    """Return where it stands on the page of an event: a line at the head, and stores."""
    return [html.Div(id=LINE, className="standing"), shell.store(REVIEWED), shell.store(ENTERED)]


def section() -> Component:
    """Return where the forms stand."""
    return html.Section(
        [
            html.H2(say("standing.title")),
            html.P(id=STATUS, role="status", className="status bad"),
            html.Div(id=FORMS),
        ]
    )


def parts(shelf: Shelf, event_id: str, version: str) -> dict[str, str]:
    """Return what fills the line and the forms, as HTML by the part's id.

    Parameters
    ----------
    shelf, event_id
        The event.
    version
        Of the event, taken before anything was read of it.
    """
    kept = shelf.is_kept(event_id)
    review, why, role, at = shelf.registry.reviewed(event_id) if kept else (None, "", "", "")
    settings = read_settings(shelf.folder(event_id))
    line: list[Part] = []
    if review:
        words = say(f"standing.is_{review}")
        by = say("standing.by", role=_role(role), at=at[:10])
        line = [html.P([html.Strong(words), " ", by, f" {why}" if why else ""], className=f"is-{review}")]
    lock = {"data-locked": say("standing.off")} if review == LOCKED else {}
    made: dict[str, Part | list[Part]] = {
        LINE: [
            *line,
            html.P(
                [
                    html.Span(id="elsewhere-said", role="status"),
                    html.Button(say("standing.show"), type="button", id="elsewhere-show", className="plain"),
                ],
                id="elsewhere",
                hidden=True,
                **{"data-version": version},
                **lock,
            ),
        ],
        FORMS: [
            _review(review) if kept else html.P(say("standing.not_kept"), className="note"),
            _about(settings),
            _again(event_id) if kept else None,
        ],
    }
    return {name: to_html(part) for name, part in made.items()}


def _role(role: str) -> str:
    return known(f"talk.role.{role}", role) if role else say("standing.somebody")


def _review(review: str | None) -> Component:
    choices = [("", say("standing.none")), *((one, say(f"standing.say_{one}")) for one in REVIEWS)]
    return html.Form(
        [
            shell.field(
                say("standing.review"), shell.select(choices, review or "", **{"data-answer": "review"})
            ),
            role_choice(),
            shell.field(say("standing.why"), shell.text("why")),
            html.Button(say("standing.keep"), type="submit"),
        ],
        className="fields always",
        **{"data-submits": REVIEWED, "aria-label": say("standing.review")},
    )


def _about(settings: Mapping[str, Any]) -> Component:
    controls = [shell.field(_called(key), _control(key, settings.get(key))) for key in ABOUT]
    return html.Form(
        [
            html.H3(say("standing.about")),
            html.P(say("standing.about_note"), className="note"),
            html.Div(
                [*controls, role_choice(), html.Button(say("standing.keep"), type="submit")],
                className="fields",
            ),
        ],
        **{"data-submits": ENTERED, "aria-label": say("standing.about")},
    )


def _again(event_id: str) -> Component:
    """Return the way to a second entry, and to how far the two agree."""
    return html.P(
        [
            html.A(say("agreement.link"), href=event_address(event_id, "agreement")),
            " · ",
            html.A(say("agreement.again"), href=f"/type/{sheet_of(event_id)}"),
        ]
    )


def _called(key: str) -> str:
    return known(f"standing.about_{key}", key.replace("_", " "))


def _control(key: str, value: object) -> Part:
    none = ("", say("typing.not_said"))
    if key in FLAGS:
        standing = {True: "yes", False: "no"}.get(cast(bool, value), "")
        choices = [none, *((one, say(f"typing.{one}")) for one in ("yes", "no"))]
        return shell.select(choices, standing, **{"data-answer": key})
    if key in _CHOICES:
        words = {"first_rhythm": rhythm_words, SCORE: _category}.get(key, _population)
        return shell.select(
            [none, *((one, words(one)) for one in _CHOICES[key])], str(value or ""), **{"data-answer": key}
        )
    text = f"{value:g}" if isinstance(value, float) else "" if value is None else str(value)
    kind = "date" if key == "date" else "text"
    return tag("input", type=kind, value=text, data_answer=key, maxlength="200", autocomplete="off")


def _category(category: str) -> str:
    return say(f"standing.category_{category}")


def _population(population: str) -> str:
    return known(f"head.population.{population}", population)


def enter(shelf: Shelf, event_id: str, given: Mapping[str, str], role: str = "") -> None:
    """Write what is known of an event by now into its event.json; an empty text takes it out.

    Raises
    ------
    BadSetting
        Where something written cannot be; the sentence says what to write.
    """
    texts = {key: given[key].strip() for key in ABOUT if key in given}
    told, refused = Draft(about={key: text for key, text in texts.items() if text}).settings()
    if refused:
        raise BadSetting(" ".join(refused.values()))
    flags = {key: told[key] == "yes" for key in FLAGS if isinstance(told.get(key), str)}
    scores = {SCORE: int(told[SCORE])} if str(told.get(SCORE, "")).isdecimal() else {}
    with shelf.changing(event_id, role) as folder:
        settings = {key: value for key, value in read_settings(folder).items() if key not in texts}
        write_settings(folder, settings | told | flags | scores)
        plan(folder)


def elsewhere(shelf: Shelf, event_id: str) -> str:
    """Return in words who changed an event last and how long ago."""
    done: Sequence[Mapping[str, Any]] = shelf.registry.history(event_id) if shelf.is_kept(event_id) else ()
    if not done:
        return say("standing.changed")
    ago_s = (datetime.now(UTC) - datetime.fromisoformat(done[-1]["at"])).total_seconds()
    return say("standing.changed_by", role=_role(done[-1]["role"]), seconds=f"{max(ago_s, 0):.0f}")


def register(app: Dash, reports: Reports) -> None:
    """Add the callbacks of the forms, and ``/event/<name>/version``, which tells what changed elsewhere."""
    shelf = reports.shelf

    @app.callback(
        Output(CHANGED, "data", allow_duplicate=True),
        Output(PARTS, "data", allow_duplicate=True),
        Output(STATUS, "children"),
        Input(REVIEWED, "data"),
        Input(ENTERED, "data"),
        State(URL, "pathname"),
        prevent_initial_call=True,
    )
    def change(reviewed: Said | None, entered: Said | None, path: str) -> tuple[object, object, str]:
        event_id = event_in(path)
        try:
            if ctx.triggered_id == REVIEWED and reviewed:
                said = reviewed["said"]
                review = cast(Review, said["review"]) if said["review"] else None
                shelf.registry.review(event_id, review, said["role"], said["why"].strip())
                return no_update, parts(shelf, event_id, shelf.version(event_id)), ""
            if ctx.triggered_id == ENTERED and entered:
                enter(shelf, event_id, entered["said"], entered["said"]["role"])
                return shelf.version(event_id), no_update, ""
        except DebriefError as error:
            return no_update, no_update, str(error)
        return no_update, no_update, no_update

    @app.server.get("/event/<event:event_id>/version")
    def version(event_id: str) -> tuple[Response, int]:
        try:
            now = shelf.version(event_id)
            if request.args.get("have") == now:
                return jsonify(), 204
            return jsonify(version=now, said=elsewhere(shelf, event_id)), 200
        except DebriefError as error:
            return jsonify(said=str(error)), 404
