"""GS1 data: element strings with FNC1 or printed brackets, and bare item numbers.

Lengths and signs of each element are those of the GS1 General Specifications,
section 3, and of the GS1 syntax dictionary.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, NamedTuple

from assistant.trade.check_character import check_digit
from assistant.trade.identity import Caveat, Identity, IdentityError, Scheme, shown
from assistant.trade.label_date import label_date

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import date

FNC1 = "\x1d"
GTIN_LENGTHS = (8, 12, 13, 14)
_GTIN, _GRAI, _GIAI = "01", "8003", "8004"
_MADE, _EXPIRES = "11", "17"
_SCAN_AGAIN = "scan again, or compare it with the label"
_SEND_FNC1 = "set the scanner to send FNC1 as ASCII 29, or type what is printed, with its brackets"


class _Form(NamedTuple):
    """What may follow an application identifier (AI).

    Attributes:
        name: for messages.
        digits: so many digits come first.
        signs: at most so many signs of GS1's set 82 follow; an element with none
            has its length fixed and needs no separator.
    """

    name: str
    digits: int
    signs: int


_FORMS = {
    _GTIN: _Form("item number", 14, 0),
    "10": _Form("lot", 0, 20),
    _MADE: _Form("production date", 6, 0),
    _EXPIRES: _Form("expiry date", 6, 0),
    "21": _Form("serial number", 0, 20),
    "235": _Form("third party's extension", 0, 28),
    "240": _Form("further product number", 0, 30),
    _GRAI: _Form("returnable asset", 14, 16),
    # It begins with a company prefix, of which the shortest has 4 digits.
    _GIAI: _Form("individual asset", 4, 26),
}
# GS1 General Specifications, section 7.11 (set 82).
_NOT_82 = re.compile(r"""[^!"%&'()*+,\-./0-9:;<=>?A-Z_a-z]""")
_GRAI_SIZE = 14
# A GTIN of 8 digits among those padded to 14.
_SHORT = "000000"
# Indicator digits of grouped packages; 9 marks a variable measure (section 2.1).
_PACKAGES = range(1, 9)
_SCHEMES = {"": Scheme.GS1, _GTIN: Scheme.GTIN, _GRAI: Scheme.GRAI, _GIAI: Scheme.GIAI}
_BRACKET = re.compile(r"\(([0-9]{2,4})\)")
# GS1 General Specifications, section 1.4: GS1 prefixes for use within one company or
# region, in an item number of 8 digits and in a longer one.
_RESTRICTED_8 = re.compile("[02]")
_RESTRICTED = re.compile("0[24]|2")


def number(digits: str, raw: str) -> Identity:
    """The identity of a bare GTIN of 8, 12, 13 or 14 digits.

    Raises:
        IdentityError: its check digit is wrong.
    """
    padded = digits.zfill(14)
    _check(_GTIN, padded, separated=True)
    # Without a symbology prefix an asset tag of as many digits looks the same.
    caveats = (Caveat.ASSET_OR_ITEM,) if digits.startswith(_GIAI) else ()
    return _identity({_GTIN: padded}, raw, 0, caveats)


def elements(text: str, raw: str, year: int) -> Identity:
    """The identity that element strings give.

    Args:
        text: either form, without symbology prefix.  In the printed form a value
            cannot hold digits in brackets; spaces do not count.
        raw: as it came.
        year: the present year.

    Raises:
        IdentityError: an unknown AI, a wrong length, sign, check digit or date, a
            missing separator, two values for one AI, or two items.
    """
    bracketed = text.startswith("(")
    found: dict[str, str] = {}
    for ai, value in _printed(text) if bracketed else _scanned(text):
        _check(ai, value, separated=bracketed or FNC1 in text)
        if found.setdefault(ai, value) != value:
            raise IdentityError(
                f'({ai}) is given twice, as "{found[ai]}" and "{value}"', _SCAN_AGAIN
            )
    silent = not bracketed and FNC1 not in text
    doubtful = silent and _swallows(*next(reversed(found.items())), found)
    return _identity(found, raw, year, (Caveat.NO_SEPARATOR,) if doubtful else ())


def known(text: str) -> bool:
    """Whether the text begins with an AI that is read here."""
    return _ai(text) is not None


def _ai(text: str) -> str | None:
    return next((text[:size] for size in (2, 3, 4) if text[:size] in _FORMS), None)


def _printed(text: str) -> Iterator[tuple[str, str]]:
    """Pairs of AI and value in the printed form."""
    pieces = _BRACKET.split("".join(text.split()))
    if pieces[0]:
        raise IdentityError(
            f'"{shown(pieces[0])}" is no bracketed AI', "begin with two to four digits in brackets"
        )
    for ai, value in zip(pieces[1::2], pieces[2::2], strict=True):
        if ai not in _FORMS:
            raise _unknown(f"({ai})")
        yield ai, value


def _scanned(text: str) -> Iterator[tuple[str, str]]:
    """Pairs of AI and value in the scanned form.

    One separator after any element is tolerated, needed or not (GS1 General
    Specifications, section 7.8.6).
    """
    rest = text.removeprefix(FNC1)
    while True:
        ai = _ai(rest)
        if ai is None:
            raise _unknown(rest[:4])
        rest = rest[len(ai) :]
        form = _FORMS[ai]
        if form.signs:
            value, _, rest = rest.partition(FNC1)
        else:
            value, rest = rest[: form.digits], rest[form.digits :].removeprefix(FNC1)
        yield ai, value
        if not rest:
            return


def _unknown(ai: str) -> IdentityError:
    return IdentityError(
        f'"{shown(ai)}" is no AI that is read here',
        f"read are {', '.join(_FORMS)}; before it a separator may be missing: {_SEND_FNC1}",
    )


def _check(ai: str, value: str, *, separated: bool) -> None:
    """Length, signs and check digit of one element."""
    name, digits, signs = _FORMS[ai]
    head, tail = value[:digits], value[digits:]
    if len(head) < digits or not value:
        wanted = f"{digits} digits" if digits else "at least one sign"
        raise IdentityError(
            f'the {name} ({ai}) is too short: "{shown(value)}" has {len(value)}, not {wanted}',
            _SCAN_AGAIN,
        )
    if digits and not (head.isascii() and head.isdigit()):
        raise IdentityError(
            f'the {name} ({ai}) must have {digits} digits, not "{shown(head)}"', _SCAN_AGAIN
        )
    illegal = _NOT_82.search(tail)
    if illegal:
        raise IdentityError(
            f'the {name} ({ai}) has the illegal sign "{shown(illegal[0])}"', _SCAN_AGAIN
        )
    if len(tail) > signs:
        most = f'"{shown(value)}" has {len(value)} signs, at most {digits + signs} are legal'
        if separated:
            raise IdentityError(f"the {name} ({ai}) is too long: {most}", _SCAN_AGAIN)
        raise IdentityError(f"after the {name} ({ai}) a separator is missing: {most}", _SEND_FNC1)
    if ai in (_GTIN, _GRAI) and (right := check_digit(head[:-1])) != head[-1]:
        raise IdentityError(
            f'the {name} "{head}" ends in {head[-1]}, but its digits give {right}', _SCAN_AGAIN
        )
    if ai == _GRAI and head[0] != "0":
        raise IdentityError(f'the {name} "{head}" does not begin with 0', _SCAN_AGAIN)


def _swallows(ai: str, value: str, found: dict[str, str]) -> bool:
    """Whether the end of a value can be read as elements that are not there yet."""
    if _FORMS[ai].digits:
        return False
    for start in range(1, len(value)):
        try:
            pairs = list(_scanned(value[start:]))
            for inner, text in pairs:
                _check(inner, text, separated=True)
                if inner in (_MADE, _EXPIRES):
                    label_date(text, "YYMMDD", 2000, zero_ends_month=True)
        except IdentityError:
            continue
        if all(inner not in found for inner, _ in pairs):
            return True
    return False


def _identity(found: dict[str, str], raw: str, year: int, caveats: tuple[Caveat, ...]) -> Identity:
    """The elements, each checked, in their places."""
    named = [ai for ai in (_GTIN, _GRAI, _GIAI) if ai in found]
    if len(named) > 1:
        raise IdentityError(
            f"the code names two items, ({named[0]}) and ({named[1]})",
            "type the one by which the procedure is to be found",
        )
    ai = named[0] if named else ""
    item, serial = found.get(ai, ""), found.get("21", "")
    if ai == _GRAI and len(item) > _GRAI_SIZE:
        item, serial = item[:_GRAI_SIZE], item[_GRAI_SIZE:]
    level = int(item[0]) if ai == _GTIN else 0
    if level in _PACKAGES:
        caveats += (Caveat.PACKAGE,)
    days: dict[str, date] = {}
    for day in (_MADE, _EXPIRES):
        if day in found:
            days[day], more = label_date(found[day], "YYMMDD", year, zero_ends_month=True)
            caveats += more
    return Identity(
        scheme=_SCHEMES[ai],
        raw=raw,
        issuer=_prefix(ai, item),
        item=item,
        level=level,
        serial=serial,
        extension=found.get("235", ""),
        lot=found.get("10", ""),
        variant=found.get("240", ""),
        made_on=days.get(_MADE),
        expires_on=days.get(_EXPIRES),
        internal=_is_internal(ai, item),
        warnings=tuple(dict.fromkeys(caveats)),
    )


def _prefix(ai: str, item: str) -> str:
    """The GS1 prefix: three digits, in a short item number after the padding."""
    if ai == _GIAI:
        return item[:3]
    start = 6 if ai == _GTIN and item.startswith(_SHORT) else 1
    return item[start : start + 3]


def _is_internal(ai: str, item: str) -> bool:
    """Whether the number is an asset's or one for use within one company."""
    if ai != _GTIN:
        return ai in (_GRAI, _GIAI)
    restricted = _RESTRICTED_8 if item.startswith(_SHORT) else _RESTRICTED
    return restricted.match(_prefix(ai, item)) is not None
