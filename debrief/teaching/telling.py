"""What was removed from an event and what is left of it, as text."""

from textwrap import fill

from debrief.teaching.copy import TeachingCopy
from debrief.teaching.tally import ANY_ITEM, ITEMS, Removed
from debrief.words import say

Row = tuple[str, str, tuple[str, ...]]
"""An item's letter, its name, and what was left out under it, in words."""


def removed_rows(copy: TeachingCopy) -> list[Row]:
    """Return the 18 items and, last, text that may hold any of them; each with what was left out."""
    return [
        (item, say(f"teaching.item_{item}"), tuple(_told(one) for one in copy.removed if one.item == item))
        for item in (*ITEMS, ANY_ITEM)
    ]


def removed_text(copy: TeachingCopy, width: int = 90) -> str:
    """Return the report on a copy: what was left out by item, what was kept, what risk remains. [letters]"""
    lines = [say("teaching.heading_removed")]
    for item, name, told in removed_rows(copy):
        text = "; ".join(told) if told else say("teaching.none_held")
        lines.append(fill(f"{item}  {name}: {text}", width, subsequent_indent="     "))
    for heading, sentences in (("kept", copy.kept), ("risks", copy.risks)):
        lines += ["", say(f"teaching.heading_{heading}")]
        lines += [fill(f"- {sentence}", width, subsequent_indent="  ") for sentence in sentences]
    return "\n".join(lines) + "\n"


def _told(one: Removed) -> str:
    return say("teaching.so_many", what=say(f"teaching.removed_{one.what}"), count=one.count)
