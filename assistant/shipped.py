"""Where the data that travels with the program lies: grammars, procedures, spoken audio."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def folder(name: str) -> Path:
    """The folder "grammars", "procedures" or "audio_fixtures".

    An installed wheel carries them inside the package; in a checkout they
    stand beside it.
    """
    inside = _PACKAGE / "data" / name
    return inside if inside.is_dir() else _PACKAGE.parent / name
