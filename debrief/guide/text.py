"""The guide as plain text, for a terminal."""

from collections.abc import Iterator
from textwrap import wrap

from debrief.guide import GROUPS, Entry, Page, pages
from debrief.words import say


def contents_text(width: int) -> str:
    """Return what there is to read: pages and figures, each with the name to ask for."""
    lines = [say("guide.lead"), "", say("guide.pages")]
    lines += [f"  {page.slug}: {page.title}" for page in pages()]
    for group, names in GROUPS.items():
        lines += ["", say(f"guide.group.{group}")]
        lines += [f"  {name}: {say(f'figures.{name}.title')}" for name in names]
    return "\n".join(line for text in lines for line in wrap(text, width, subsequent_indent="    ") or [""])


def entry_text(entry: Entry, width: int) -> str:
    """Return how one figure is computed."""
    parts = [
        ("definition", [entry.definition]),
        ("formula", [entry.formula]),
        ("unit", [entry.unit]),
        ("variants", entry.variants),
        ("asked", [f"{asked.line} {_editions(asked.editions)} {asked.source}" for asked in entry.asked]),
        ("missing", entry.missing),
    ]
    lines = wrap(f"{entry.title} ({entry.name})", width)
    for key, texts in parts:
        said = list(texts) or ([say("guide.nobody")] if key == "asked" else [])
        if said:
            lines += ["", say(f"guide.{key}"), *_listed(said, width, len(said) > 1)]
    return "\n".join(lines)


def page_text(page: Page, width: int) -> str:
    """Return a page of help."""
    lines = [page.title]
    for block in page.blocks:
        if block.kind != "list" or lines[-1] != "":
            lines.append("")
        if block.kind == "heading":
            lines.append(block.texts[0])
        elif block.kind == "table":
            names, *rows = block.rows
            said = ("; ".join(f"{n}: {cell}" for n, cell in zip(names, row, strict=True)) for row in rows)
            lines += _listed(list(said), width, True)
        else:
            lines += _listed(list(block.texts), width, block.kind == "list")
    return "\n".join(lines)


def _editions(names: tuple[str, ...]) -> str:
    return say("guide.in_editions", editions=", ".join(names))


def _listed(texts: list[str], width: int, dashes: bool) -> Iterator[str]:
    for text in texts:
        yield from wrap(
            text,
            width,
            initial_indent="  - " if dashes else "  ",
            subsequent_indent="    " if dashes else "  ",
        )
