"""The tree is the flow: import contracts, lint and types run as tests, so they hold everywhere."""

import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from importlinter.cli import lint_imports

from debrief import words

ROOT = Path(__file__).parents[1]


@pytest.mark.filterwarnings("ignore::DeprecationWarning")
def test_import_contracts_are_kept():
    """Every layer imports only what lies below it."""
    assert lint_imports(config_filename=str(ROOT / "pyproject.toml"), no_cache=True) == 0


@pytest.mark.parametrize(
    "check",
    [("ruff", "check", "."), ("ruff", "format", "--check", "."), ("mypy",)],
    ids=lambda c: " ".join(c),
)
def test_the_code_is_clean(check):
    """Lint, layout and types."""
    done = subprocess.run(
        [sys.executable, "-m", *check], cwd=ROOT, capture_output=True, text=True, check=False
    )

    assert done.returncode == 0, done.stdout + done.stderr


def test_help_loads_nothing_heavy():
    """``--help`` is quick because it imports neither tables nor pages."""
    heavy = ("numpy", "pyarrow", "pandas", "dash", "plotly")
    code = f"import sys, debrief.cli; print([m for m in {heavy} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)

    assert done.stdout.strip() == "[]"


def test_measuring_loads_no_pages():
    """``measure`` imports neither pandas nor the pages: a file is measured within a second."""
    code = "import sys, debrief.assess; print([m for m in ('pandas', 'dash', 'plotly') if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], cwd=ROOT, capture_output=True, text=True, check=True)

    assert done.stdout.strip() == "[]"


def test_every_table_of_words_is_free_of_clashes():
    """No word written for one kind, rhythm or drug stands for another of the same table as well."""
    for name in ("kinds", "rhythms", "drugs"):
        seen: dict[str, str] = {}
        for key, row in words.table(name).items():
            for word in {words.fold(key), *map(words.fold, row["also"])}:
                assert seen.setdefault(word, key) == key, (
                    f"{name}: {word!r} stands for {seen[word]} and {key}"
                )


def test_glossary_names_every_figure_kind_and_word():
    """What nobody can look up is not finished."""
    from debrief.measures import MEASURES

    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    for name in [*words.KINDS, *(measure.name for measure in MEASURES)]:
        assert f"`{name}`" in text, f"{name} is missing from the glossary"


def test_version_is_in_one_place():
    """The version comes from the package alone."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]

    assert "version" in project["dynamic"]
