"""A site's own file: its limits, the targets it confirms, its edition, what it says of confidentiality.

::

    edition = "AHA 2020"
    confidentiality = "For the resuscitation committee; keep out of the patient's record."
    role = "resuscitation officer"      # who decided; a role, never a name
    date = 2026-01-31
    clock_check_days = 14               # after how many days a check of a device's clock is stale
    fewest_shown = 5                    # across events, fewer events than this are not shown
    confirm = ["erc_2021.first_epinephrine_child"]

    [limit."aha_2020.compression_fraction_adult"]    # a shipped target's id: what is written replaces its own
    at_least = 0.70

    [limit.post_shock]                               # a limit of the site's own
    figures = ["post_shock_pause"]
    less_than = 5
    unit = "s"
    populations = ["adult"]
"""

import tomllib
from dataclasses import dataclass, replace
from datetime import date
from difflib import get_close_matches
from pathlib import Path
from typing import Any

from debrief import words
from debrief.errors import BadSetting
from debrief.targets.row import KEYS, LIMITS, TargetRow, bad, read_row

_KEYS = ("edition", "role", "date", "confirm", "limit", "confidentiality", "clock_check_days", "fewest_shown")
_LIMIT_KEYS = tuple(key for key in KEYS if key not in ("basis", "shown_beside", "grey_low", "grey_reason"))


@dataclass(frozen=True)
class Site:
    """What a site's file says. ``limits`` are targets of kind ``site``."""

    edition: str | None
    limits: tuple[TargetRow, ...]
    confirmed: frozenset[str]
    role: str
    date: str
    confidentiality: str
    clock_check_days: float | None
    fewest_shown: int | None

    def confirm(self, row: TargetRow) -> TargetRow:
        """Return the target, confirmed where the site says so."""
        if row.id not in self.confirmed:
            return row
        citation = words.say("targets.confirmed", citation=row.citation, role=self.role, date=self.date)
        return replace(row, confirmed=True, citation=citation)


def read_site(path: Path, shipped: dict[str, TargetRow], units: dict[str, set[str]]) -> Site:
    """Read a site's file.

    Parameters
    ----------
    path
        The TOML file.
    shipped
        Every shipped target by its id, of whatever edition.
    units
        The units in which shipped targets speak of each figure.

    Raises
    ------
    BadSetting
        Where the file cannot be read, or a key in it says what cannot be.
    """
    file = str(path)
    body = _toml(path)
    for key in body:
        if key not in _KEYS:
            raise bad(file, key, body[key], words.say("targets.write_keys", keys=", ".join(_KEYS)))
    edition = body.get("edition")
    if edition is not None and not isinstance(edition, str):
        raise bad(file, "edition", edition, words.say("targets.write_citation"))
    confidentiality = body.get("confidentiality", "")
    if not isinstance(confidentiality, str):
        raise bad(file, "confidentiality", confidentiality, words.say("targets.write_line"))
    confirmed = _confirmed(body, shipped, file)
    limits = body.get("limit", {})
    if not isinstance(limits, dict):
        raise bad(file, "limit", limits, words.say("targets.write_table"))
    role, day = "", ""
    if confirmed or limits:
        role, day = _who(body, file)
    rows = []
    for name, written in limits.items():
        key = f'limit."{name}"'
        if not isinstance(written, dict):
            raise bad(file, key, written, words.say("targets.write_table"))
        citation = words.say("targets.set_by_site", role=role, date=day, file=path.name)
        rows.append(_limit(name, {"citation": citation, **written}, shipped, units, file, key))
    notice, shown = confidentiality.strip(), _fewest(body, file)
    return Site(edition, tuple(rows), confirmed, role, day, notice, _days(body, file), shown)


def _fewest(body: dict[str, Any], file: str) -> int | None:
    """Return below how many events nothing is shown across events, null where the site does not say."""
    fewest = body.get("fewest_shown")
    if fewest is not None and (isinstance(fewest, bool) or not isinstance(fewest, int) or fewest < 2):
        raise bad(file, "fewest_shown", fewest, words.say("targets.write_fewest"))
    return fewest


def _days(body: dict[str, Any], file: str) -> float | None:
    """Return after how many days a clock check is stale, null where the site does not say."""
    days = body.get("clock_check_days")
    if days is not None and (isinstance(days, bool) or not isinstance(days, int | float) or not days >= 1):
        raise bad(file, "clock_check_days", days, words.say("targets.write_days"))
    return days


def _toml(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8-sig"))
    except FileNotFoundError:
        raise BadSetting(words.say("targets.no_file", file=path)) from None
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise BadSetting(words.say("targets.not_toml", file=path, error=error)) from None


def _confirmed(body: dict[str, Any], shipped: dict[str, TargetRow], file: str) -> frozenset[str]:
    ids = body.get("confirm", [])
    if not isinstance(ids, list):
        raise bad(file, "confirm", ids, words.say("targets.write_confirm"))
    for row_id in ids:
        if row_id not in shipped:
            raise bad(file, "confirm", row_id, words.say("targets.write_confirm"))
    return frozenset(ids)


def _who(body: dict[str, Any], file: str) -> tuple[str, str]:
    """Return the role that decided and the day: nothing of a site is taken without them."""
    role, day = body.get("role"), body.get("date")
    if not isinstance(role, str) or not role.strip():
        raise bad(file, "role", role, words.say("targets.write_role"))
    if isinstance(day, str):
        try:
            day = date.fromisoformat(day)
        except ValueError:
            raise bad(file, "date", day, words.say("targets.write_date")) from None
    if not isinstance(day, date):
        raise bad(file, "date", day, words.say("targets.write_date"))
    return role.strip(), day.isoformat()[:10]


def _limit(
    name: str,
    written: dict[str, Any],
    shipped: dict[str, TargetRow],
    units: dict[str, set[str]],
    file: str,
    key: str,
) -> TargetRow:
    """Return one limit: a shipped target with the written keys in place of its own, or a new one."""
    for word in written:
        if word not in _LIMIT_KEYS:
            write = words.say("targets.write_keys", keys=", ".join(_LIMIT_KEYS))
            raise bad(file, f"{key}.{word}", written[word], write)
    base = shipped.get(name)
    if (base is None or not base.figures) and "figures" not in written:
        raise bad(file, key, name, words.say("targets.write_target_id"))
    inherited = {} if base is None else _keys_of(base)
    if any(limit in written for limit in LIMITS):
        for limit in (*LIMITS, "grey_low", "grey_reason"):
            inherited.pop(limit, None)
    row = read_row(
        f"site.{name}",
        {"basis": "seen", **inherited, **written},
        file=file,
        key=key,
        edition=words.say("targets.site"),
        kind="site",
    )
    for figure in row.figures:
        if figure not in units and figure not in _titled():
            near = get_close_matches(str(figure), _titled(), 3, 0.0)
            raise bad(
                file, f"{key}.figures", figure, words.say("targets.write_choices", choices=", ".join(near))
            )
        known = sorted(units.get(figure, {row.unit}))
        if row.unit not in known:
            write = words.say("targets.write_this_unit", figure=figure, unit=" / ".join(known))
            raise bad(file, f"{key}.unit", row.unit, write)
    return row


def _titled() -> list[str]:
    """Return the names of all figures that have a title in the language table."""
    keys = (key.split(".") for key in words.sentences() if key.startswith("figures."))
    return [key[1] for key in keys if key[-1] == "title"]


def _keys_of(row: TargetRow) -> dict[str, Any]:
    """Return a target as its TOML table has it, without its source: the site stands for its own word."""
    body: dict[str, Any] = {
        "figures": list(row.figures),
        "unit": row.unit,
        "populations": list(row.populations),
        "when": list(row.when),
        "tolerance": row.tolerance,
        "shown_beside": list(row.shown_beside),
    }
    if row.low is not None:
        body["at_least" if row.low_included else "more_than"] = row.low
    if row.high is not None:
        body["at_most" if row.high_included else "less_than"] = row.high
    if row.most is not None:
        body["most"] = row.most
    if row.shocks is not None:
        body["shocks"] = list(row.shocks)
    if row.grey_low is not None:
        body.update(grey_low=row.grey_low, grey_reason=row.grey_reason)
    return body
