"""Where recorded speech lies that is no part of the project, and which of it is present."""

from __future__ import annotations

import importlib.util
from dataclasses import dataclass
from pathlib import Path

_ASTERISK = Path("/usr/share/asterisk/sounds/en_US_f_Allison")
_TESTDATA = Path("/usr/share/pocketsphinx/test/data")


@dataclass(frozen=True, slots=True)
class Sets:
    """Folders of recordings; None where one is not present.

    Attributes:
        orders: recorded drink orders by many people, with their noise and grammar.
        asterisk: prompts of Debian's asterisk-core-sounds-en-g722, one voice.
        testdata: Debian's pocketsphinx-testdata: read prose and others.
        wheel: the samples that the wheel moonshine-voice brings beside its model.
        vosk: an English Vosk model.
    """

    orders: Path | None = None
    asterisk: Path | None = None
    testdata: Path | None = None
    wheel: Path | None = None
    vosk: Path | None = None

    @property
    def kitchen(self) -> Path | None:
        """The recorded kitchen noise."""
        return self.orders / "kitchen.flac" if self.orders else None

    def told(self) -> list[str]:
        """One line for each set: where it lies, or that it is not present."""
        names = {
            "recorded drink orders and kitchen noise": self.orders,
            "asterisk-core-sounds-en-g722": self.asterisk,
            "pocketsphinx-testdata": self.testdata,
            "samples in the wheel moonshine-voice": self.wheel,
            "English Vosk model": self.vosk,
        }
        return [f"{name}: {path or 'not present'}" for name, path in names.items()]


def found(orders: Path | None, debian: Path | None, vosk: Path | None) -> Sets:
    """The sets that are there.

    Args:
        orders: folder with labels.jsonl, orders.jsgf, kitchen.flac and clips.
        debian: a folder in which Debian's packages are unpacked; None for the system.
        vosk: folder of an English Vosk model.
    """

    def under(path: Path) -> Path | None:
        there = debian / path.relative_to("/") if debian else path
        return there if there.is_dir() else None

    spec = importlib.util.find_spec("moonshine_voice")
    wheel = Path(spec.origin).parent / "assets" if spec and spec.origin else None
    return Sets(
        orders=orders if orders and (orders / "labels.jsonl").is_file() else None,
        asterisk=under(_ASTERISK),
        testdata=under(_TESTDATA),
        wheel=wheel if wheel and any(wheel.glob("*.wav")) else None,
        vosk=vosk if vosk and vosk.is_dir() else None,
    )
