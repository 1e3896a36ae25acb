"""HIBC supplier data: labeler and catalogue number, dates, lot, serial (ANSI/HIBC 2.6).

The primary data name the article, the secondary the piece or batch; each may be a
code of its own, or both are one code with a slash between them.
"""

from __future__ import annotations

import re
from typing import Any

from assistant.trade.check_character import MOD_43, check_character
from assistant.trade.identity import Caveat, Identity, IdentityError, Scheme, shown
from assistant.trade.label_date import label_date

_PRIMARY = re.compile(r"(?P<item>(?P<labeler>[A-Z][A-Z0-9]{3})[A-Z0-9]{1,18})(?P<level>[0-9])")
# "$" without a date, "$$" with one; "+" says that a serial number follows, not a lot.
_MARK = re.compile(r"(?P<dollars>\${1,2})(?P<plus>\+?)")
_PACKED = re.compile("8(?P<two>[0-9]{2})|9(?P<five>[0-9]{5})")
_SUPPLEMENT = re.compile(r"(?P<kind>S|14D|16D|Q)(?P<rest>.*)")
# The date's form by its figure, which for MMYY is the first digit of the month itself.
_MONTH = "MMYY"
_FORMS = {"0": _MONTH, "1": _MONTH, "2": "MMDDYY", "3": "YYMMDD"}
_FORMS |= {"4": "YYMMDDHH", "5": "YYJJJ", "6": "YYJJJHH", "7": ""}
# Superseded, still on old labels: a date without "$$".
_BARE = "YYJJJ"
_LOT = re.compile(r"[A-Z0-9.-]{1,18}")
_QUANTITY = re.compile(r"[0-9]{1,5}")
_NOT_43 = re.compile(f"[^{re.escape(MOD_43)}]")
_SCAN_AGAIN = "scan again, or compare it with the label"
_LEAST_SIGNS = 3
_OTHER_LABELS = {
    "+/": "is a label of a care provider, not of a device",
    "++": "names a family of devices, not one device",
}


def supplier_data(text: str, raw: str, year: int) -> Identity:
    """The identity that primary, secondary or joined data give.

    Args:
        text: from its "+" on, without symbology prefix; the asterisks of the printed
            form are left away, and an underscore at the end is a space.  Small
            letters count as capitals: the signs have no others.
        raw: as it came.
        year: the present year.

    Raises:
        IdentityError: an illegal sign, a wrong check character, an unknown form, a
            date that does not exist, or two values for one thing.
    """
    text = text.removeprefix("*").removesuffix("*").upper()
    if text[:2] in _OTHER_LABELS:
        raise _refusal(text, _OTHER_LABELS[text[:2]], "scan the code with its item number")
    data = _checked(text)
    if not data[1].isalpha():
        # Alone, the secondary data end in the check character of their primary data.
        pieces = data[1:-1].split("/")
        return _identity({"link": data[-1]}, pieces, raw, year)
    head, *pieces = data[1:].split("/")
    primary = _PRIMARY.fullmatch(head)
    if primary is None:
        raise _refusal(
            head, "is no labeler code, catalogue number and unit of measure", _SCAN_AGAIN
        )
    level = int(primary["level"])
    found: dict[str, Any] = {
        "issuer": primary["labeler"],
        "item": primary["item"],
        "level": level,
        "link": check_character("+" + head),
        "warnings": (Caveat.PACKAGE,) if level else (),
    }
    return _identity(found, pieces, raw, year)


def _checked(text: str) -> str:
    """The data before the check character, which is right."""
    body, tail = text[:-2], text[-2:].replace("_", " ")
    text = body + tail
    illegal = _NOT_43.search(text)
    if illegal:
        raise _refusal(text, f'has the illegal sign "{shown(illegal[0])}"', _SCAN_AGAIN)
    if len(text) <= _LEAST_SIGNS:
        raise _refusal(text, "is too short for HIBC data", _SCAN_AGAIN)
    data, last = text[:-1], text[-1]
    right = check_character(data)
    if last != right:
        space = ' (a space, printed and typed as "_")' if right == " " else ""
        raise _refusal(text, f'ends in "{last}", but its signs give "{right}"{space}', _SCAN_AGAIN)
    return data


def _identity(found: dict[str, Any], pieces: list[str], raw: str, year: int) -> Identity:
    """What was found, with the secondary and supplemental pieces added."""
    for place, piece in enumerate(pieces):
        supplement = _SUPPLEMENT.fullmatch(piece)
        if supplement is not None:
            more = _supplemental(supplement["kind"], supplement["rest"], year)
        elif place == 0:
            more = _secondary(piece, year)
        else:
            raise _unknown(piece)
        warnings = found.get("warnings", ()) + more.pop("warnings", ())
        for name, value in more.items():
            if found.setdefault(name, value) != value:
                raise IdentityError(
                    f'{name} is given twice, as "{found[name]}" and "{value}"', _SCAN_AGAIN
                )
        found["warnings"] = warnings
    return Identity(scheme=Scheme.HIBC, raw=raw, **found)


def _supplemental(kind: str, rest: str, year: int) -> dict[str, Any]:
    """What one supplemental piece says."""
    match kind:
        case "S":
            return _batch(rest, serial=True)
        case "Q":
            if not _QUANTITY.fullmatch(rest):
                raise _refusal(rest, "is no quantity of at most 5 digits", _SCAN_AGAIN)
            return {"quantity": int(rest)}
        case _:
            name = "expires_on" if kind == "14D" else "made_on"
            return {name: label_date(rest, "YYYYMMDD", year)[0]}


def _secondary(piece: str, year: int) -> dict[str, Any]:
    """What the secondary data say: quantity, day of expiry, lot or serial."""
    if piece[:1].isdigit():
        return _dated(piece, _BARE, year, serial=False)
    mark = _MARK.match(piece)
    if mark is None:
        raise _unknown(piece)
    rest, serial = piece[mark.end() :], bool(mark["plus"])
    if mark["dollars"] == "$":
        return _batch(rest, serial=serial)
    found: dict[str, Any] = {}
    packed = _PACKED.match(rest)
    if packed is not None:
        found["quantity"] = int(packed["two"] or packed["five"])
        rest = rest[packed.end() :]
        if not rest:
            return found
    form = _FORMS.get(rest[:1])
    if form is None:
        raise _unknown(piece)
    return found | _dated(rest if form == _MONTH else rest[1:], form, year, serial=serial)


def _dated(text: str, form: str, year: int, *, serial: bool) -> dict[str, Any]:
    """The day of expiry, where the form has one, then the lot or serial."""
    found: dict[str, Any] = {}
    if form:
        day, warnings = label_date(text[: len(form)], form, year)
        found = {"expires_on": day, "warnings": warnings}
        if len(text) == len(form):
            return found
    return found | _batch(text[len(form) :], serial=serial)


def _batch(text: str, *, serial: bool) -> dict[str, Any]:
    """A lot or a serial number."""
    name = "serial" if serial else "lot"
    if not _LOT.fullmatch(text):
        raise _refusal(
            text, f"is no {name} of 1 to 18 letters, digits, points and hyphens", _SCAN_AGAIN
        )
    return {name: text}


def _unknown(piece: str) -> IdentityError:
    return _refusal(piece, "is no known form of HIBC data", _SCAN_AGAIN)


def _refusal(text: str, why: str, remedy: str) -> IdentityError:
    return IdentityError(f'"{shown(text)}" {why}', remedy)
