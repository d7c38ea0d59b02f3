"""One or two: which marks are taken as one occurrence, and what a reviewer says of that."""

from collections.abc import Iterable, Mapping, Sequence

from dash import html
from dash.development.base_component import Component

from debrief.clocks.together import PAIRED
from debrief.dashboard import shell
from debrief.dashboard.answers import SEPARATOR
from debrief.dashboard.markup import Part
from debrief.dashboard.reports import Measured
from debrief.dashboard.written import as_written, take_out
from debrief.errors import BadSetting
from debrief.importers import corrections
from debrief.importers.corrections import OF_PAIRS, Correction, writing
from debrief.importers.corrections.tying import followed, in_words
from debrief.model.contract import Occurrence, ProblemOut, Report
from debrief.model.times import clock
from debrief.picture.captions import named
from debrief.words import say

SAID = "linked"
BY_HAND = "one-by-hand"

OF_MARKS = frozenset(
    {
        *("pressed_again", "sources_disagree", "pairing_tie", "seen_apart", "rhythms_differ", "drugs_differ"),
        *("shock_unseen", "link_one_source", "link_chain", "link_unlike", "link_of_kind", "link_of_parted"),
    }
)
"""Problems that are answered here, at the occurrence of the mark they name."""

OF_CHANGES = frozenset({"link_lost", "correction_lost"})
"""Problems that are answered where what was said by hand is listed."""

MOST_NEAR = 5
FORGET = "forget"


def places(report: Report) -> dict[str, str]:
    """Return where each mark is spoken of here, by its name."""
    return {
        mark: _place(one) for one in report["occurrences"] if one["kind"] in PAIRED for mark in one["marks"]
    }


def answered_at(problem: ProblemOut, where: Mapping[str, str]) -> str | None:
    """Return where a problem is answered, as the fragment of an address, null where it is not here."""
    if problem["code"] in OF_CHANGES:
        return f"#{BY_HAND}"
    place = where.get(_mark(problem)) if problem["code"] in OF_MARKS else None
    return f"#{place}" if place else None


def section(measured: Measured) -> list[Part]:
    """Return what is asked, what was said, what is taken as one, and what one source alone has."""
    told = [one for one in measured.report["occurrences"] if one["kind"] in PAIRED]
    asked = _asked(measured.report)
    to_answer = [one for one in told if asked.keys() & {*one["marks"]}]
    as_one = [one for one in told if len(one["marks"]) > 1 and one not in to_answer]
    alone = [
        one
        for one in told
        if len(one["marks"]) == 1 and one not in to_answer and _near(one, one["lead"], told)
    ]
    by_hand = _by_hand(measured)
    if not (to_answer or as_one or alone or by_hand):
        return []

    def entries(shown: Sequence[Occurrence]) -> Component:
        return html.Ul([_entry(measured, one, told, asked) for one in shown], className="links")

    return [
        html.H3(say("links.title")),
        html.P(say("links.lead"), className="note"),
        *([html.H4(say("links.to_answer")), entries(to_answer)] if to_answer else []),
        *(
            [
                html.H4(say("links.by_hand", count=len(by_hand))),
                html.Ul(by_hand, className="links", id=BY_HAND),
            ]
            if by_hand
            else []
        ),
        *(
            html.Details([html.Summary(say(f"links.{name}", count=len(shown))), entries(shown)])
            for name, shown in (("as_one", as_one), ("alone", alone))
            if shown
        ),
    ]


def acts(measured: Measured, marks: Iterable[str]) -> Part:
    """Return what can be said of the occurrence that marks stand for, nothing where it is not one."""
    told = [one for one in measured.report["occurrences"] if one["kind"] in PAIRED]
    meant = [one for one in told if {*marks} & {*one["marks"]}]
    if len(meant) != 1 or (len(meant[0]["marks"]) == 1 and not _near(meant[0], meant[0]["lead"], told)):
        return None
    return html.Ul([_entry(measured, meant[0], told, {}, at="picked-")], className="links")


def take(measured: Measured, said: Mapping[str, str]) -> None:
    """Write down what was said: a pair that is one or two, or that a change is to be undone.

    Parameters
    ----------
    said
        Of a button its ``value``: ``part`` or ``undo_link`` and the names of two marks, or ``forget`` and the
        number of a change that has lost its mark. Of a list ``name``, a mark, and ``value``, which it is one
        with.

    Raises
    ------
    BadSetting
        Where no such mark is there.
    """
    action, *names = said["value"].split(SEPARATOR)
    if "name" in said:
        action, names = "link", [said["name"], said["value"]]
    if action == FORGET:
        lost = _lost(measured)
        if not (names and names[0].isdecimal() and int(names[0]) < len(lost)):
            raise BadSetting(say("links.no_such", read=said["value"]))
        one = lost[int(names[0])]
        writing.undo(measured.folder, one.key)
        return
    pairs = measured.event.linked | measured.event.parted
    known = action == "undo_link" and tuple(names) in pairs
    if action not in OF_PAIRS or len(names) != 2 or not (known or {*names} <= measured.written.keys()):
        raise BadSetting(say("links.no_such", read=said["value"]))
    change = Correction(next(one for one in OF_PAIRS if one == action), names[0], other=names[1])
    writing.write(measured.folder, measured.event, [change])


def _asked(report: Report) -> dict[str, list[str]]:
    """Return what is asked of marks, by the name of the mark."""
    asked: dict[str, list[str]] = {}
    for one in report["problems"]:
        if one["code"] in OF_MARKS:
            asked.setdefault(_mark(one), []).append(one["message"])
    return asked


def _mark(problem: ProblemOut) -> str:
    return f"{problem['source_id']}:{problem['place']}"


def _place(one: Occurrence) -> str:
    return f"one-{one['id']}"


def _near(one: Occurrence, mark: str, told: Sequence[Occurrence]) -> list[Occurrence]:
    """Return what a mark of an occurrence could be one with instead, the nearest first."""
    source, drug = mark.partition(":")[0], one["detail"] if one["kind"] == "drug" else None
    alike = [
        other
        for other in told
        if other["kind"] == one["kind"]
        and all(seen.partition(":")[0] != source for seen in other["marks"])
        and (drug is None or other["detail"] in (None, drug))
    ]
    return sorted(alike, key=lambda other: abs(other["time"] - one["time"]))[:MOST_NEAR]


def _entry(
    measured: Measured,
    one: Occurrence,
    told: Sequence[Occurrence],
    asked: Mapping[str, list[str]],
    at: str = "",
) -> Component:
    """Return one occurrence: what is asked of it, its marks as written, what can be said."""
    questions = [text for mark in one["marks"] for text in asked.get(mark, ())]
    movable = one["marks"][:1] if len(one["marks"]) == 1 else one["marks"][1:] if questions else []
    return html.Li(
        [
            html.Strong(f"{clock(one['time'])} {named(one)}"),
            *(html.P(text, className="asked") for text in questions),
            html.Ul([_told(measured, one, mark) for mark in one["marks"]], className="as-written"),
            *(_choice(measured, mark, _near(one, mark, told)) for mark in movable),
        ],
        id=f"{at}{_place(one)}",
        tabIndex="-1",
    )


def _told(measured: Measured, one: Occurrence, mark: str) -> Component:
    """Return a mark as written, and the ways to part it and to take it out."""
    row = measured.row_of[mark]
    leads = say("links.leads") if mark == one["lead"] and len(one["marks"]) > 1 else None
    part = None
    if mark != one["lead"]:
        label = say("links.part_mark", what=named(one), written=row.written)
        part = _button("part", SEPARATOR.join(("part", one["lead"], mark)), label)
    return html.Li(
        [*as_written(row, measured.files), html.Strong(leads) if leads else None, part, take_out(row)]
    )


def _choice(measured: Measured, mark: str, near: Sequence[Occurrence]) -> Part:
    """Return the list of what a mark could be one with."""
    if not near:
        return None
    choices = [("", say("links.link_none"))]
    choices += [(one["lead"], f"{clock(one['time'])}: {_words(measured, one['lead'])}") for one in near]
    row = measured.row_of[mark]
    words = say("links.link_with", source=measured.files.get(row.source, row.source), written=row.written)
    control = shell.select(choices, "", **{"data-answer": mark})
    return html.Form(shell.field(words, control), **{"data-answers": SAID})


def _words(measured: Measured, mark: str) -> str:
    """Return a mark in words, its name where it is not there."""
    row = measured.row_of.get(mark)
    if row is None:
        return mark
    source = measured.files.get(row.source, row.source)
    return say("links.mark", written=row.written, what=row.meaning, source=source, place=row.where)


def _by_hand(measured: Measured) -> list[Part]:
    """Return what was said by hand, each with the way to undo it."""
    pairs = [(name, pair) for name in ("linked", "parted") for pair in sorted(getattr(measured.event, name))]
    made: list[Part] = []
    for name, (first, second) in pairs:
        text = say(f"links.{name}", first=_words(measured, first), second=_words(measured, second))
        value = SEPARATOR.join(("undo_link", first, second))
        made.append(html.Li([text, " ", _button("undo", value, say("links.undo_pair", pair=text))]))
    for number, one in enumerate(_lost(measured)):
        marks = in_words(one)
        button = _button(FORGET, f"{FORGET}{SEPARATOR}{number}", say("links.forget_mark", marks=marks))
        made.append(html.Li([say("links.lost", marks=marks), " ", button]))
    return made


def _lost(measured: Measured) -> list[Correction]:
    lines = corrections.read(measured.folder)
    return followed(measured.event, corrections.standing(lines), lines)[1]


def _button(words: str, value: str, label: str) -> Component:
    return html.Button(
        say(f"links.{words}"),
        type="button",
        className="plain small",
        **{"data-set": SAID, "data-value": value, "aria-label": label},
    )
