"""Key codes of the kernel's input layer, made the signs that a scanner types.

The numbers are those of Linux' ``input-event-codes.h``; the signs are those of a US
keyboard, which scanners are set to when they leave the works.
"""

from __future__ import annotations

from dataclasses import dataclass, field

SHIFT = frozenset({42, 54})
CONTROL = frozenset({29, 97})
END = frozenset({28, 96, 15})  # Enter, the keypad's Enter, Tab
PRESSED, RELEASED = 1, 0

_ROWS = (
    (2, "1234567890-=", "!@#$%^&*()_+"),
    (16, "qwertyuiop[]", "QWERTYUIOP{}"),
    (30, "asdfghjkl;'`", 'ASDFGHJKL:"~'),
    (43, "\\zxcvbnm,./", "|ZXCVBNM<>?"),
    (55, "*", "*"),
    (57, " ", " "),
    (71, "789-456+1230.", "789-456+1230."),
)
_SIGNS = {
    first + place: (plain, shifted)
    for first, row, above in _ROWS
    for place, (plain, shifted) in enumerate(zip(row, above, strict=True))
}
# The separator of GS1 element strings is typed as Ctrl+] (ASCII 29).
_WITH_CONTROL = {"]": "\x1d"}


@dataclass(slots=True)
class Typing:
    """One keyboard: the keys that are held, and what was typed since the last end of line."""

    _held: set[int] = field(default_factory=set)
    _text: str = ""

    def take(self, code: int, value: int) -> str:
        """Take a key's press or release; the whole line where it ends one, else "".

        Args:
            code: which key.
            value: 1 for a press, 0 for a release, 2 for a repeat, which counts for nothing:
                a scanner holds no key.
        """
        if code in SHIFT | CONTROL:
            (self._held.discard if value == RELEASED else self._held.add)(code)
        elif value == PRESSED and code in END:
            line, self._text = self._text, ""
            return line
        elif value == PRESSED and code in _SIGNS:
            self._text += self._sign(*_SIGNS[code])
        return ""

    def _sign(self, plain: str, shifted: str) -> str:
        if self._held & CONTROL:
            return _WITH_CONTROL.get(plain, "")
        return shifted if self._held & SHIFT else plain
