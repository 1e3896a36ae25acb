"""Outside readers: codes by zxing-cpp, PDF files by pypdf."""

from __future__ import annotations

import io
from dataclasses import dataclass

import numpy as np
import zxingcpp
from PIL import Image
from pypdf import PdfReader


def codes(png: bytes) -> list[zxingcpp.Barcode]:
    """The codes in a picture."""
    with Image.open(io.BytesIO(png)) as picture:
        return zxingcpp.read_barcodes(np.asarray(picture.convert("L")))


def tight(text: str) -> str:
    """The text without white space, as lines may break anywhere."""
    return "".join(text.replace("\u200b", "").split())


@dataclass
class Page:
    """The only page of a PDF file.

    Attributes:
        text: all of it, without white space.
        places: (x, y) where each piece of text begins, in points from the lower left.
        width: points.
        height: points.
        fonts: names of the fonts, without the mark of a subset.
        embedded: whether all of them travel in the file.
    """

    text: str
    places: list[tuple[float, float]]
    width: float
    height: float
    fonts: frozenset[str]
    embedded: bool


def page(pdf: bytes) -> Page:
    """The page, where there is exactly one."""
    reader = PdfReader(io.BytesIO(pdf))
    (only,) = reader.pages
    places: list[tuple[float, float]] = []

    def seen(text, cm, tm, _font, _size):
        if text.strip():
            x = tm[4] * cm[0] + tm[5] * cm[2] + cm[4]
            y = tm[4] * cm[1] + tm[5] * cm[3] + cm[5]
            places.append((x, y))

    text = only.extract_text(visitor_text=seen)
    box = only.mediabox
    fonts = [font.get_object() for font in only["/Resources"]["/Font"].values()]
    inner = [font["/DescendantFonts"][0].get_object() for font in fonts]
    return Page(
        tight(text),
        places,
        float(box.width),
        float(box.height),
        frozenset(font["/BaseFont"].partition("+")[2] for font in inner),
        all({"/FontFile2", "/FontFile3"} & set(font["/FontDescriptor"]) for font in inner),
    )
