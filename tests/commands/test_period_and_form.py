"""``debrief report`` and ``debrief form`` over a registry, and what they refuse."""

import pytest
from click.testing import CliRunner

from debrief.cli import main
from debrief.registry.store import Registry
from tests.cohorts.filled import fill

FORM = '[columns."Case"]\nfrom = "context.event_id"\n[columns."Ward"]\nfrom = "context.unit"\n'


@pytest.fixture
def home(tmp_path):
    with Registry(tmp_path / "home", create=True) as kept:
        fill(kept, 24)
    return tmp_path / "home"


def run(home, *arguments):
    return CliRunner().invoke(main, [*map(str, arguments), "--registry", str(home)])


def test_a_report_is_written_unattended(home, tmp_path):
    done = run(home, "report", "--month", "2025-03", "-o", tmp_path / "march.pdf")
    assert done.exit_code == 0, done.output
    assert (tmp_path / "march.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("report",), "Say one of --month"),
        (("report", "--month", "March"), "read 'March'"),
        (("report", "--year", "2025", "--cohort", "Nights"), "No cohort has that name"),
        (("form",), "Say --map FILE to keep one"),
        (("form", "--map", "gone.toml"), "gone.toml: cannot be read"),
    ],
)
def test_what_cannot_be_is_refused_in_a_sentence(home, tmp_path, arguments, said):
    done = run(home, *arguments, "-o", tmp_path / "out")
    assert done.exit_code == 2
    assert said in done.output
    assert not (tmp_path / "out").exists()


def test_a_form_is_said_once_and_then_kept(home, tmp_path):
    mapping, first, again = tmp_path / "form.toml", tmp_path / "first.csv", tmp_path / "again.csv"
    mapping.write_text(FORM)
    assert run(home, "form", "--map", mapping, "-o", first).exit_code == 0
    assert run(home, "form", "-o", again).exit_code == 0
    assert first.read_bytes() == again.read_bytes()
    lines = first.read_text("utf-8-sig").splitlines()
    assert lines[:2] == ["Case,Ward", "event 00001,Beech ward"]
    assert len(lines) == 25
    march = tmp_path / "march.csv"
    done = run(home, "form", "-o", march, "--from", "2025-03-01", "--to", "2025-03-31")
    assert done.exit_code == 0
    assert len(march.read_text().splitlines()) == 2
