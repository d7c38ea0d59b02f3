"""Editions: bundles of target files, as shipped beside this one, with a site's own word over them."""

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache, cached_property
from hashlib import sha256
from pathlib import Path

from debrief import words
from debrief.errors import BadSetting
from debrief.model.figures import Facts
from debrief.targets.row import KINDS, TargetRow, read_row
from debrief.targets.site import read_site

FOLDER = Path(__file__).parent


@dataclass(frozen=True)
class Edition:
    """The targets that are asked of an event, in the order in which they decide.

    ``confidentiality``: what the site's file wants said on what is handed on; empty without one.
    ``clock_check_days``: after how many days a clock check is stale; ``fewest_shown``: fewer events than this
    are not shown across events; both null where the site does not say. ``site_sha256``: of the site's file.
    """

    name: str
    targets: tuple[TargetRow, ...]
    confidentiality: str = ""
    clock_check_days: float | None = None
    fewest_shown: int | None = None
    site_sha256: str | None = None

    def speaking(self, figure: str, facts: Facts) -> tuple[TargetRow, ...]:
        """Return the targets that speak of a figure for this population and shock, the deciding kinds first.

        Whether their conditions hold is for the judge to say: one that does not apply is still shown.
        """
        return tuple(
            row
            for row in self._of_figure.get(figure, ())
            if facts.population in row.populations
            and (row.shocks is None or row.shocks[0] <= facts.shock <= row.shocks[1])
        )

    @cached_property
    def _of_figure(self) -> dict[str, list[TargetRow]]:
        """The targets that stand by each figure."""
        found: dict[str, list[TargetRow]] = {}
        for row in self.targets:
            for figure in dict.fromkeys((*row.figures, *row.shown_beside)):
                found.setdefault(figure, []).append(row)
        return found


def editions() -> list[str]:
    """Return the names of the editions, the default first."""
    return list(_bundles())


def load(edition: str | None = None, site: Path | None = None) -> Edition:
    """Return an edition, with the limits and confirmations of a site's file over it.

    Parameters
    ----------
    edition
        Its name; null: the one that the site's file names, else the default.
    site
        The site's own TOML file.

    Raises
    ------
    BadSetting
        Where there is no such edition (the choices are named), or the site's file says what cannot be.
    """
    own = None if site is None else read_site(site, _shipped(), _units())
    name = edition or (own.edition if own else None) or editions()[0]
    files = _bundles().get(name)
    if files is None:
        unknown = words.say("targets.unknown_edition", read=name, choices=", ".join(editions()))
        raise BadSetting(unknown if edition else f"{site}: {unknown}")
    rows: Iterable[TargetRow] = (row for file in files for row in _file(file))
    if own is not None:
        rows = (*own.limits, *(own.confirm(row) for row in rows))
    ordered = tuple(sorted(rows, key=lambda row: KINDS.index(row.kind)))
    if own is None:
        return Edition(name, ordered)
    return Edition(name, ordered, own.confidentiality, own.clock_check_days, own.fewest_shown, _sha256(site))


def _sha256(site: Path | None) -> str | None:
    return sha256(site.read_bytes()).hexdigest() if site else None


@cache
def _bundles() -> dict[str, list[str]]:
    return tomllib.loads((FOLDER / "editions.toml").read_text(encoding="utf-8"))


@cache
def _file(name: str) -> tuple[TargetRow, ...]:
    """Read one shipped file. An id is the file's name and the table's."""
    body = tomllib.loads((FOLDER / f"{name}.toml").read_text(encoding="utf-8"))
    body_name, kind = body.pop("name"), body.pop("kind")
    return tuple(
        read_row(f"{name}.{key}", row, file=f"{name}.toml", key=key, edition=body_name, kind=kind)
        for key, row in body.items()
    )


def _shipped() -> dict[str, TargetRow]:
    """Return every shipped target by its id, of whatever edition."""
    files = {file for bundle in _bundles().values() for file in bundle}
    return {row.id: row for file in sorted(files) for row in _file(file)}


def _units() -> dict[str, set[str]]:
    found: dict[str, set[str]] = {}
    for row in _shipped().values():
        for figure in row.figures:
            found.setdefault(figure, set()).add(row.unit)
    return found
