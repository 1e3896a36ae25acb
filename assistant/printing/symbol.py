"""The printed code: a QR symbol drawn from a code's text.

QR (ISO/IEC 18004) with error correction level Q: a quarter of the symbol may be
scratched, wet or worn.  No micro symbols, which many scanners do not read.
"""

from __future__ import annotations

import io

import segno

_LEVEL = "q"
# ISO/IEC 18004 asks for four modules of white around the symbol.
QUIET_ZONE = 4
_DARK, _LIGHT = "█", " "
# (upper module dark, lower module dark): two modules in one sign, white drawn.
_HALVES = {(False, False): "█", (False, True): "▀", (True, False): "▄", (True, True): " "}


def svg(text: str) -> str:
    """The symbol as a complete SVG picture, one unit a module, with its quiet zone."""
    out = io.BytesIO()
    _made(text).save(out, kind="svg", border=QUIET_ZONE, light="white", xmldecl=False)
    return out.getvalue().decode()


def drawn(text: str, *, ascii_only: bool = False) -> str:
    """The symbol for a dark terminal, without a line end at its end.

    Args:
        text: what the symbol says.
        ascii_only: for a terminal without block signs: "#" for white, twice as large.
    """
    rows = [[bool(module) for module in row] for row in _made(text).matrix_iter(border=QUIET_ZONE)]
    if ascii_only:
        return "\n".join("".join("  " if dark else "##" for dark in row) for row in rows)
    if len(rows) % 2:
        rows.append([True] * len(rows[0]))  # drawn as nothing, below the quiet zone
    pairs = zip(rows[::2], rows[1::2], strict=True)
    return "\n".join(
        "".join(_HALVES[pair] for pair in zip(upper, lower, strict=True)) for upper, lower in pairs
    )


def _made(text: str) -> segno.QRCode:
    return segno.make_qr(text, error=_LEVEL, boost_error=False)
