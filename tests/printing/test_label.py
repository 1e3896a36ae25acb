"""A part's label, its code read by zxing-cpp and its text by pypdf."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta, timezone
from xml.etree import ElementTree as ET

import pytest
import reading
from PIL import Image

from assistant.printing import press
from assistant.printing.code import CodeError, SessionCode, session_of
from assistant.printing.fault import PressError
from assistant.printing.label import DOTS_PER_INCH, Label, fit, lines
from assistant.session.event_kind import Disposition

SESSION = "20260302-080000-ab12"
LABEL = Label(
    device="take-apart grasper",
    component="shaft",
    disposition="packing",
    reason="cleaned by the procedure",
    container="C17",
    operator="invented operator",
    at=datetime(2026, 3, 2, 9, 30, tzinfo=timezone(timedelta(hours=1))),
    code=str(SessionCode(SESSION, "shaft")),
    counts=True,
    language="en",
)
# Longer than anything that is spoken as one reason.
LONG = "a crack near the joint that was seen under the magnifier " * 3
FULL = replace(LABEL, reason=LONG, counts=False)


def test_a_label_says_what_where_why_who_when_and_which_session():
    assert lines(LABEL) == (
        "To packing for sterilization",
        "take-apart grasper: shaft",
        "because: cleaned by the procedure",
        "container C17",
        "invented operator, 2026-03-02 09:30+01:00",
        f"session {SESSION}",
    )


def test_a_rehearsals_label_can_be_taken_for_no_other():
    first, *others = lines(replace(LABEL, counts=False))
    assert first == "Rehearsal. Nothing was cleaned."
    assert tuple(others) == lines(LABEL)


@pytest.mark.parametrize("disposition", list(Disposition))
def test_every_disposition_has_its_words(disposition):
    assert lines(replace(LABEL, disposition=disposition))[0][0].isupper()


@pytest.mark.parametrize("label", [LABEL, FULL], ids=["short", "long"])
def test_the_picture_leads_back_to_the_session_and_the_part(label):
    (found,) = reading.codes(press.png(fit(label), DOTS_PER_INCH))
    assert session_of(found.text) == SessionCode(SESSION, "shaft")


@pytest.mark.parametrize("label", [LABEL, FULL], ids=["short", "long"])
def test_all_of_it_stands_on_the_label(label):
    page = reading.page(press.pdf(fit(label)))
    assert (page.width, page.height) == pytest.approx((90 / 25.4 * 72, 50 / 25.4 * 72), abs=0.01)
    assert all(reading.tight(line) in page.text for line in lines(label))
    assert all(0 < x < page.width and 0 < y < page.height for x, y in page.places)


def test_markup_in_a_reason_is_printed_as_it_stands():
    nasty = r'#x $x$ *b* _i_ \ [ ] "q" `r`'
    page = reading.page(press.pdf(fit(replace(LABEL, reason=nasty, operator=nasty))))
    assert page.text.count(reading.tight(nasty)) == 2


def test_the_vector_picture_is_well_formed_and_needs_no_font():
    drawn = ET.fromstring(press.svg(fit(LABEL)))  # noqa: S314 - our own
    tags = {element.tag.rpartition("}")[2] for element in drawn.iter()}
    assert "svg" in tags
    assert "text" not in tags


def test_the_picture_has_the_size_of_the_label(tmp_path):
    path = tmp_path / "label.png"
    path.write_bytes(press.png(fit(LABEL), DOTS_PER_INCH))
    with Image.open(path) as picture:
        assert picture.size == pytest.approx((90 / 25.4 * 300, 50 / 25.4 * 300), abs=1)


def test_a_label_that_cannot_hold_its_text_is_refused():
    with pytest.raises(PressError, match="does not fit"):
        fit(replace(LABEL, reason=LONG * 10))


def test_a_code_that_leads_nowhere_is_refused():
    with pytest.raises(CodeError):
        lines(replace(LABEL, code="sinkside:procedure:demo:1"))


def test_the_moment_is_shown_with_its_offset():
    at = datetime(2026, 3, 2, 8, 30, tzinfo=UTC)
    assert "2026-03-02 08:30+00:00" in "\n".join(lines(replace(LABEL, at=at)))
