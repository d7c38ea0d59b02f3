"""Judge a figure that was kept again, by another edition, without measuring its event anew.

A figure is kept with its value, bounds and verdict. What else the judge asks of it is kept beside, as far as
the verdict does not tell it: `beside_value` says what, `kept_finding` puts both together again.
"""

from collections.abc import Mapping
from typing import Any, cast

from debrief.model.contract import Verdict
from debrief.model.figures import Finding, State

_TOLD: dict[str, State] = {"no_data": "no_data", "not_applicable": "not_applicable", "not_met": "not_seen"}
"""Which kind of missing a verdict on a figure without a value tells of."""


def beside_value(finding: Finding, verdict: Verdict) -> dict[str, Any]:
    """Return what has to be kept of a finding beside its value, bounds and verdict: mostly nothing."""
    told: dict[str, Any] = {}
    if finding.value is None and finding.state != _TOLD.get(verdict):
        told["state"] = finding.state
    if finding.observed is not None and verdict != "not_met":
        told["observed"] = finding.observed
    if finding.open_above:
        told["open_above"] = True
    if finding.doubt is not None:
        told["doubt"] = finding.doubt
    return told


def kept_finding(kept: Mapping[str, Any], told: Mapping[str, Any]) -> Finding:
    """Return a figure as it was before it was judged.

    Parameters
    ----------
    kept
        ``name``, ``value``, ``unit``, ``low``, ``high``, ``certainty``, ``verdict``, ``because``.
    told
        What was kept beside, as `beside_value` gave it.
    """
    missing = kept["value"] is None
    state = told.get("state", _TOLD.get(kept["verdict"], "no_data")) if missing else "known"
    return Finding(
        name=kept["name"],
        unit=kept["unit"],
        value=kept["value"],
        low=None if missing else kept["low"],
        high=None if missing else kept["high"],
        state=cast(State, state),
        because=kept["because"],
        observed=told.get("observed", kept["low"]) if missing else None,
        open_above=told.get("open_above", False),
        doubt=told.get("doubt"),
        assessed=kept["certainty"] == "assessed",
    )
