"""Find what ships beside the code: style sheets, scripts, fonts, and the sample events.

In a checkout and an editable install they lie beside the package; in a wheel, inside it.
"""

from pathlib import Path

PACKAGE = Path(__file__).parent


def shipped(name: str) -> Path:
    """Return the folder ``assets`` or ``sample_events``, wherever this installation keeps it.

    Raises
    ------
    FileNotFoundError
        Where the installation is broken and holds neither.
    """
    for home in (PACKAGE / "shipped", PACKAGE.parent):
        folder = home / name
        if folder.is_dir():
            return folder
    raise FileNotFoundError(f"{name} is missing from this installation of debrief; install it again")
