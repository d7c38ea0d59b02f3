"""``debrief cases``: the cases that are kept; approved, written as a file, handed on, taken in."""

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from debrief.commands.shared import PATH, as_json, format_option, registry_option, write
from debrief.errors import BadSetting
from debrief.words import say

if TYPE_CHECKING:
    from debrief.teaching.kept import KeptCase


@click.command(help=say("case.help_cases"))
@click.argument("name", required=False)
@click.option("-o", "--output", type=PATH, metavar="FILE.html", help=say("case.help_case_output"))
@click.option("--approve", "approver", metavar="ROLE", help=say("case.help_approve"))
@click.option("--until", type=click.DateTime(["%Y-%m-%d"]), metavar="YYYY-MM-DD", help=say("case.help_until"))
@click.option("--hand-on", type=PATH, metavar="FILE", help=say("case.help_hand_on"))
@click.option("--take-in", type=PATH, metavar="FILE", help=say("case.help_take_in"))
@click.option("--remove", is_flag=True, help=say("case.help_remove"))
@format_option("table", "json")
@registry_option
def cases(
    name: str | None,
    output: Path | None,
    approver: str | None,
    until: datetime | None,
    hand_on: Path | None,
    take_in: Path | None,
    remove: bool,
    form: str,
    registry: str | None,
) -> None:
    """List cases, or do something with one of them."""
    from debrief.registry.store import Registry
    from debrief.reports.case import case_file
    from debrief.teaching import kept
    from debrief.teaching.case import handed_on, pointed_out, taken_in

    if name is None and (output or approver or hand_on or take_in or remove):
        raise BadSetting(say("case.which_case"))
    with Registry(registry, create=take_in is not None) as held:
        if name is None:
            rows = [_row(one) for one in kept.kept(held)]
            click.echo(as_json(rows) if form == "json" else _table(rows))
            return
        if take_in is not None:
            if name in held.named(kept.KIND):
                raise BadSetting(say("case.name_taken", read=name))
            case = taken_in(_read(take_in))
            kept.keep(held, name, case)
            for text, where in pointed_out(case):
                click.echo(say("case.looks_like", text=text, where=where), err=True)
        if approver is not None:
            kept.approve(held, name, approver, until.date() if until else None)
        one = kept.find(held, name)
        stands = one.stands()
        click.echo(f"{name}: {say(f'teaching.standing_{stands}')}", err=True)
        if output is not None:
            write(case_file(one.case, stands, one.role), output)
        if hand_on is not None:
            if stands != "approved":
                raise BadSetting(say("case.not_handed_on", why=say(f"teaching.standing_{stands}")))
            write(handed_on(one.case), hand_on)
        if remove:
            kept.remove(held, name)


def _read(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        raise BadSetting(say("case.no_file", file=path.name, error=error.strerror)) from None


def _row(one: "KeptCase") -> dict[str, object]:
    first = one.case.report["first_rhythm"]
    return {
        "name": one.name,
        "title": one.case.called,
        "first_rhythm": first and first["rhythm"],
        "lessons": list(one.case.lessons),
        "difficulty": one.case.difficulty or None,
        "length_s": one.case.report["end"]["time"],
        "questions": len(one.case.questions),
        "standing": one.stands(),
        "invented": one.case.invented,
        "elsewhere": one.case.elsewhere,
    }


def _table(rows: list[dict[str, object]]) -> str:
    from debrief.model.times import clock

    if not rows:
        return say("case.none_kept")
    return "\n".join(
        "  ".join(
            str(part)
            for part in (
                row["name"],
                row["title"],
                clock(float(str(row["length_s"]))),
                row["first_rhythm"] or "-",
                ", ".join(map(str, row["lessons"])) or "-",  # type: ignore[call-overload]
                row["difficulty"] or "-",
                row["standing"],
            )
        )
        for row in rows
    )
