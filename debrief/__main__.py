"""``python -m debrief`` is the command ``debrief``."""

from debrief.cli import main

main()
