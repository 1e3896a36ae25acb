from dataclasses import replace
from datetime import UTC, datetime
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from assistant.record import chain, codec
from assistant.session.event import Event, Paused, SignedOff

AT = datetime(2026, 3, 2, 8, 0, 0, 123456, tzinfo=UTC)
MOMENTS = st.datetimes(timezones=st.just(UTC))


def entry(event):
    kind, body = codec.body(event)
    return chain.link("s", None, kind, body, event.at)


@pytest.mark.parametrize("kind", get_args(Event), ids=lambda kind: kind.__name__)
def test_every_event_comes_back_as_it_was_stored(kind):
    @settings(max_examples=20, deadline=None)
    @given(st.builds(kind, at=MOMENTS).filter(lambda event: event == event))  # noqa: PLR0124 - no NaN
    def comes_back(event):
        assert codec.event(entry(event)) == event

    st.register_type_strategy(datetime, MOMENTS)
    st.register_type_strategy(float, st.floats(allow_nan=False, allow_infinity=False))
    st.register_type_strategy(str, st.text(st.characters(exclude_categories=("Cs",))))
    comes_back()


def test_the_moment_stands_in_the_entry_only():
    assert "at" not in codec.body(Paused(AT))[1]
    assert entry(Paused(AT)).at == "2026-03-02T08:00:00.123456Z"


def test_a_type_that_is_not_known_is_named_with_its_entry():
    with pytest.raises(codec.EntryUnreadableError, match=r'entry 1 of session s .*"Danced"'):
        codec.event(replace(entry(Paused(AT)), type="Danced"))


def test_a_field_that_is_not_known_or_missing_is_told():
    good = entry(SignedOff(AT, "x", 0, 0))
    with pytest.raises(codec.EntryUnreadableError, match="unknown fields: mood"):
        codec.event(replace(good, body=good.body[:-1] + ',"mood":"good"}'))
    with pytest.raises(codec.EntryUnreadableError, match="cannot be read"):
        codec.event(replace(good, body="{}"))
    with pytest.raises(codec.EntryUnreadableError, match="cannot be read"):
        codec.event(replace(good, at="yesterday"))
