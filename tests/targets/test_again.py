"""A figure that was kept is judged again as if its event had been measured by the other edition."""

import pytest

from debrief.assess import Asked, assess_event
from debrief.cohorts.kept import rows_kept
from debrief.importers import Settings, read_event
from debrief.measures import MEASURES
from debrief.registry.adding import add_events, how_for
from debrief.registry.incoming import found_in
from debrief.registry.store import Registry
from debrief.resources import shipped
from debrief.targets import editions, load

SAMPLES = sorted(path for path in shipped("sample_events").iterdir() if path.is_dir())
SITE = """
role = "resuscitation officer"
date = 2026-01-31
[limit.first_shock]
figures = ["time_to_first_shock"]
at_most = 30
unit = "s"
populations = ["adult", "child"]
"""


def kept_by(registry, edition):
    return {
        (row.event_id, name): (row.verdict, row.target and row.target["id"], row.edition)
        for name in (measure.name for measure in MEASURES)
        for row in rows_kept(registry, name, edition)
    }


def measured(asked, kept_names):
    """Measure every sample by an edition, without any registry."""
    found = {}
    for folder in SAMPLES:
        report = assess_event(read_event([folder]), asked).to_dict()
        for figure in report["figures"]:
            key = (report["event"]["event_id"], figure["name"])
            if key in kept_names:
                target = figure["target"]
                found[key] = (figure["verdict"], target and target["id"], report["edition"])
    return found


@pytest.mark.parametrize(("draws", "by", "own"), [(0, editions()[-1], False), (40, editions()[0], True)])
def test_all_figures_of_the_samples_get_the_verdicts_of_what_asks_now(tmp_path, draws, by, own):
    """Another edition, and a limit of the site's own; what was kept had other verdicts."""
    site = tmp_path / "site.toml"
    site.write_text(SITE, encoding="utf-8")
    asked = Asked(by, site if own else None, draws=draws)
    with Registry(tmp_path / "home", create=True) as registry:
        how = how_for(registry, Asked(editions()[0], draws=draws), Settings())
        for folder in SAMPLES:
            list(add_events(registry, found_in(folder, Settings()), how))
        kept = kept_by(registry, load(by, asked.site))

        assert kept == measured(asked, kept)
        assert kept != kept_by(registry, load(editions()[0]))
