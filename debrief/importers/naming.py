"""What a file may be called so that every system can hold it."""

SIGNS = frozenset('<>:"|?*\\/')
"""What no file may be called on some system."""
LONGEST = 120
_RESERVED = frozenset(
    {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(1, 10))}
)


def is_plain(name: str) -> bool:
    """Tell whether every system can hold a file of that name: one name, with no folder before it."""
    return (
        name not in ("", ".", "..")
        and name == name.rstrip(" .")
        and not set(name) & SIGNS
        and name.isprintable()
        and len(name) <= LONGEST
    )


def plain(name: str) -> str:
    """Return a name as it is where it is plain, else one like it that is; its ending is kept."""
    if is_plain(name) and name.partition(".")[0].casefold() not in _RESERVED:
        return name
    kept = "".join("_" if sign in SIGNS or not sign.isprintable() else sign for sign in name).strip(" .")
    stem, dot, ending = kept.rpartition(".")
    if not dot:
        stem, ending = kept, ""
    stem = stem[: LONGEST - 20] or "file"
    if stem.partition(".")[0].casefold() in _RESERVED:
        stem = f"_{stem}"
    return f"{stem}{dot}{ending[:12]}"
