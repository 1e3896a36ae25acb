"""The press: a template of this folder filled with values and set by typst.

Values reach the template as data, never as markup, so whatever stands in a procedure
is printed as it stands.  No system font is used: the letters are Source Sans Pro from
a wheel of its own, and typst's built-in fonts where it lacks a sign.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, TypedDict

import typst

from assistant.printing.fault import PressError

if TYPE_CHECKING:
    from collections.abc import Mapping

# PDF/UA-1: a screen reader can read it, and typst refuses a sign that no font has
# instead of leaving a box.
_STANDARD: typst.PDFStandard = "ua-1"


@dataclass(frozen=True, slots=True)
class Setting:
    """A template, its values, and how they are laid out.

    Attributes:
        template: file name in this folder.
        values: what is printed; JSON values only.
        layout: paper, sizes and columns, as the template names them.
    """

    template: str
    values: Mapping[str, object]
    layout: Mapping[str, str]


def fits(setting: Setting) -> bool:
    """Whether the setting stands on one page, with nothing beyond its edge.

    Raises:
        PressError: it cannot be set.
    """
    try:
        found = typst.query(
            _source(setting), "<fits>", field="value", one=True, **_surroundings(setting)
        )
    except typst.TypstError as error:
        raise _refused(error) from error
    return json.loads(found) is True


def pdf(setting: Setting) -> bytes:
    """The setting as a PDF file: the same bytes for the same setting.

    Raises:
        PressError: it cannot be set, or no font has one of its signs.
    """
    try:
        return typst.compile(
            _source(setting), format="pdf", pdf_standards=[_STANDARD], **_surroundings(setting)
        )
    except typst.TypstError as error:
        raise _refused(error) from error


def svg(setting: Setting) -> bytes:
    """The setting, of one page, as an SVG picture; its letters are outlines.

    Raises:
        PressError: it cannot be set, or no font has one of its signs.
    """
    pdf(setting)  # only as a PDF is a missing sign refused
    return typst.compile(_source(setting), format="svg", **_surroundings(setting))


def png(setting: Setting, dots_per_inch: int) -> bytes:
    """The setting, of one page, as a PNG picture.

    Raises:
        PressError: it cannot be set, or no font has one of its signs.
    """
    pdf(setting)
    return typst.compile(
        _source(setting), format="png", ppi=dots_per_inch, **_surroundings(setting)
    )


class _Surroundings(TypedDict):
    """What every call of typst is given."""

    font_paths: typst.Fonts
    ignore_system_fonts: bool
    sys_inputs: dict[str, str]


def _surroundings(setting: Setting) -> _Surroundings:
    return _Surroundings(
        font_paths=_fonts(),
        ignore_system_fonts=True,
        sys_inputs={**setting.layout, "data": json.dumps(setting.values)},
    )


@cache
def _fonts() -> typst.Fonts:
    return typst.Fonts(
        include_system_fonts=False, font_paths=[str(files("font_source_sans_pro") / "files")]
    )


def _source(setting: Setting) -> bytes:
    return (files("assistant.printing") / setting.template).read_bytes()


def _refused(error: typst.TypstError) -> PressError:
    """What typst says, in a sentence."""
    return PressError(
        f"typst refuses to print this ({error.message}); write it with other signs, or "
        "report the fault"
    )
