"""The label of a part that was handed on: where it goes, why, and back to its session."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.printing import press, symbol
from assistant.printing.code import session_of
from assistant.printing.fault import PressError
from assistant.printing.words import words

if TYPE_CHECKING:
    from datetime import datetime

# Sizes of the letters that are tried, in points; a label is read in the hand.
_SIZES = (12.0, 11.0, 10.0, 9.0, 8.0, 7.0)
# Enough for the label printers with 203 and 300 dots per inch.
DOTS_PER_INCH = 300


@dataclass(frozen=True, slots=True)
class Label:
    """What a part's label says.

    Attributes:
        device: title of the procedure.
        component: name of the part.
        disposition: where it goes: "packing", "disinfection", "hold" or "repair".
        reason: why.
        container: its code.
        operator: who handed it on.
        at: when, in the time zone that is to be shown.
        code: text of the code, which leads back to the session and the part.
        counts: whether it was a real cleaning; a rehearsal's label says that it was none.
        language: BCP 47 tag.
    """

    device: str
    component: str
    disposition: str
    reason: str
    container: str
    operator: str
    at: datetime
    code: str
    counts: bool
    language: str


def lines(label: Label) -> tuple[str, ...]:
    """The label's lines, the most important ones first.

    Raises:
        PressError: its language has no words for print.
        CodeError: its code does not lead to a session.
    """
    own = words(label.language)
    at = label.at.isoformat(sep=" ", timespec="minutes")
    found = (
        "" if label.counts else own["label_rehearsal"],
        own[f"label_to_{label.disposition}"],
        f"{label.device}: {label.component}",
        own["label_reason"].format(reason=label.reason) if label.reason else "",
        own["label_container"].format(container=label.container) if label.container else "",
        own["label_by"].format(operator=label.operator, at=at),
        own["label_session"].format(session=session_of(label.code).session),
    )
    return tuple(line for line in found if line)


def fit(label: Label) -> press.Setting:
    """The label in the largest letters that go on it.

    Raises:
        PressError: not even the least letters fit, or its language has no words.
        CodeError: its code does not lead to a session.
    """
    values = {
        "lines": lines(label),
        "strong": 2 if label.counts else 3,
        "code": symbol.svg(label.code),
        "alt": label.code,
        "language": label.language,
    }
    for size in _SIZES:
        setting = press.Setting("label.typ", values, {"size": f"{size:g}"})
        if press.fits(setting):
            return setting
    raise PressError(
        f'the label of "{label.component}" does not fit in letters of {_SIZES[-1]:g} pt; '
        "give the device and the part shorter names, or print it as text"
    )
