from datetime import UTC, datetime
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.record.review import WORKED, told
from assistant.session import event as ev

AT = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


def finite(kind):
    """Times are measured: never endless, and no NaN."""
    times = st.floats(0, 1e6)
    return {"seconds": times} if "seconds" in kind.__dataclass_fields__ else {}


@pytest.mark.parametrize("kind", get_args(ev.Event), ids=lambda kind: kind.__name__)
def test_every_event_can_be_told(kind):
    @settings(max_examples=5, deadline=None)
    @given(st.builds(kind, at=st.just(AT), **finite(kind)))
    def can_be_told(event):
        rows = [row for row in told([event]) if row[1] != WORKED]
        assert len(rows) == (0 if kind is ev.Asked else 1)
        worked = [text for _, name, text in told([event]) if name == WORKED]
        assert worked == list(getattr(event, "working", ()))

    can_be_told()


def test_the_words_of_what_was_not_understood_are_not_told():
    heard = ev.Heard(AT, "voice", "", "", False, -14.2, "", None, "sounds like other speech")  # noqa: FBT003
    assert list(told([heard])) == [
        (AT, "not understood", "voice, score -14.2: sounds like other speech")
    ]


def test_a_cut_off_caution_is_told_as_such():
    cut = ev.PromptInterrupted(AT, "1.1", "Caution. Sharp.", "a.b", "c1")
    assert list(told([cut])) == [(AT, "caution cut off", "Caution. Sharp.")]


def test_a_reading_is_told_with_its_limits():
    value = ev.ValueAccepted(AT, "a.b", "bath temperature", "36", "°C", "30\u201340 °C")
    assert list(told([value])) == [(AT, "value", "bath temperature: 36 °C (limits 30\u201340 °C)")]
