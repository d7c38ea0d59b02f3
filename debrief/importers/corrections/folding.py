"""What stands after all lines: each thing that is said about a mark, a pair, a clock or the event, once.

Lines are taken in the order of the file. A change stands unless the last undo or redo that names it is an
undo; of the changes that stand, the last about a thing does.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from debrief.importers.corrections.lines import OF_EVENT, OF_PAIRS, STEPS, Correction
from debrief.importers.corrections.values import GROUPS, Value
from debrief.model.event import Offset


def undone(lines: Iterable[Correction]) -> frozenset[str]:
    """Return the keys of the changes that are undone, wherever the changes themselves stand."""
    last = {one.of: one.action for one in lines if one.action in STEPS}
    return frozenset(key for key, action in last.items() if action == "undo")


def standing(lines: Sequence[Correction]) -> list[Correction]:
    """Return the changes that stand, oldest first."""
    out = undone(lines)
    return [one for one in lines if one.action not in STEPS and one.key not in out]


def to_undo(lines: Sequence[Correction]) -> list[Correction]:
    """Return the changes that the next undo takes back: the last that stand, made at one go."""
    stand = standing(lines)
    return [one for one in stand if one.key == stand[-1].key] if stand else []


def to_redo(lines: Sequence[Correction]) -> list[Correction]:
    """Return the changes that the next redo brings back: those undone last, since when none was made."""
    out: list[str] = []
    for one in lines:
        if one.action not in STEPS:
            out = []
            continue
        out = [key for key in out if key != one.of]
        if one.action == "undo":
            out.append(one.of)
    known = {one.key for one in lines if one.action not in STEPS}
    out = [key for key in out if key in known]
    return [one for one in lines if one.action not in STEPS and one.key == out[-1]] if out else []


def removed(changes: Iterable[Correction]) -> frozenset[str]:
    """Return the marks that are out."""
    last = {one.mark: one.action for one in changes if one.about == ("counted",)}
    return frozenset(mark for mark, action in last.items() if action == "drop")


def pairs(changes: Sequence[Correction], action: Literal["link", "part"]) -> frozenset[tuple[str, str]]:
    """Return the pairs of marks that are linked, or parted; each in order of its names.

    Of a mark that was taken out nothing more is said.
    """
    about = (one for one in changes if one.action in OF_PAIRS)
    last = {(min(one.names), max(one.names)): one.action for one in about}
    out = removed(changes)
    return frozenset(pair for pair, stands in last.items() if stands == action and not out & {*pair})


def clocks(changes: Iterable[Correction]) -> dict[str, Offset]:
    """Return where a reviewer says that clocks stand, by source."""
    last = {one.mark: one.clock for one in changes if one.action == "clock"}
    return {source_id: clock for source_id, clock in last.items() if clock is not None}


def moments(changes: Iterable[Correction]) -> dict[str, str | None]:
    """Return time zero and the end as a reviewer set them, null where they are left to the rule."""
    last = {one.action: one.to["time"] for one in changes if one.action in OF_EVENT}
    return {name: None if time is None else str(time) for name, time in last.items()}


def values(changes: Iterable[Correction]) -> dict[str, dict[str, Value]]:
    """Return what was set of each mark, by column."""
    found: dict[str, dict[str, Value]] = {}
    for one in changes:
        if {*one.about} & GROUPS.keys():
            found.setdefault(one.mark, {}).update(one.to)
    return found


@dataclass(frozen=True)
class Dispute:
    """Two changes that two roles made to the same thing; ``about`` is that of `Correction`."""

    about: str
    first: Correction
    last: Correction


def disputes(changes: Sequence[Correction]) -> Iterator[Dispute]:
    """Yield where the last word about a thing is another role's than one before it, and says otherwise."""
    said: dict[tuple[str, tuple[str, ...]], list[Correction]] = {}
    for one in changes:
        for about in one.about:
            said.setdefault((about, tuple(sorted(one.names))), []).append(one)
    for (about, _), lines in said.items():
        last = lines[-1]
        others = [one for one in lines[:-1] if last.role and one.role and one.role != last.role]
        if others and _says(others[-1], about) != _says(last, about):
            yield Dispute(about, others[-1], last)


def _says(one: Correction, about: str) -> object:
    """Return what a change says of a thing."""
    if about in GROUPS:
        return [one.to[column] for column in GROUPS[about]]
    return one.clock if about == "clock" else one.to.get("time") if about in OF_EVENT else one.action
