"""The hash chain, against FIPS 180-4 and RFC 3339, and against every changed byte."""

from __future__ import annotations

import hashlib
import json
from dataclasses import fields, replace
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from assistant.record import chain

NOON = datetime(2026, 3, 29, 12, 0, 0, 250, tzinfo=UTC)


def sample(session: str = "s-1", bodies: int = 3) -> list[chain.Entry]:
    entries: list[chain.Entry] = []
    for number in range(bodies):
        entries.append(
            chain.link(
                session,
                entries[-1] if entries else None,
                "reading_taken",
                {"of": "bath temperature", "value": "43", "unit": "°C", "n": number},
                NOON + timedelta(seconds=number),
            )
        )
    return entries


def rehashed(entry: chain.Entry, **changes: object) -> chain.Entry:
    """The entry with changes and a hash that fits them: a forger with a pencil."""
    changed = replace(entry, **changes)
    return replace(
        changed,
        hash=chain._digest(
            changed.session, str(changed.seq), changed.at, changed.type, changed.body, changed.prev
        ),
    )


@pytest.mark.parametrize(
    ("message", "digest"),
    [
        (b"abc", "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
        (b"", "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855"),
    ],
)
def test_the_hash_in_use_is_sha_256_of_fips_180_4(message, digest):
    # FIPS 180-4 examples, as published with the standard.
    assert hashlib.sha256(message).hexdigest() == digest


def test_a_hash_can_be_computed_again_from_the_written_framing_alone():
    entry = sample()[1]
    parts = ("sinkside entry 1", "s-1", "2", entry.at, entry.type, entry.body, entry.prev)
    framed = b"".join(len(p.encode()).to_bytes(8, "big") + p.encode() for p in parts)
    assert entry.hash == hashlib.sha256(framed).hexdigest()


def test_the_framing_does_not_let_text_move_between_neighbouring_fields():
    one = chain.link("ab", None, "c", {}, NOON)
    other = chain.link("a", None, "bc", {}, NOON)
    assert one.hash != other.hash


def test_a_whole_chain_has_no_findings():
    assert chain.verify(sample()) == []
    assert chain.verify([]) == []


def test_the_first_entry_starts_from_zeros_and_the_next_from_its_hash():
    first, second, _ = sample()
    assert (first.seq, first.prev) == (1, "0" * 64)
    assert (second.seq, second.prev) == (2, first.hash)


def test_every_changed_byte_of_every_stored_field_is_found():
    entries = sample()
    tried = 0
    for place, entry in enumerate(entries):
        for field in fields(chain.Entry):
            stored = str(getattr(entry, field.name)).encode()
            for index in range(len(stored)):
                for flip in (0x01, 0x20, 0x80):
                    raw = bytearray(stored)
                    raw[index] ^= flip
                    text = bytes(raw).decode("utf-8", "surrogateescape")
                    value: object = text
                    if field.name == "seq":
                        if not text.isdecimal():
                            continue
                        value = int(text)
                    changed = [*entries]
                    changed[place] = replace(entry, **{field.name: value})
                    assert chain.verify(changed), (place, field.name, index, flip)
                    tried += 1
    assert tried > 2000


def test_the_first_bad_entry_of_a_session_is_named_and_no_later_one():
    first, second, third = sample()
    damaged = [first, replace(second, type="soak_started"), replace(third, type="x")]
    (finding,) = chain.verify(damaged)
    assert (finding.session, finding.seq) == ("s-1", 2)
    assert "changed after it was written" in finding.what


def test_a_fault_in_one_session_does_not_hide_one_in_another():
    one, other = sample("s-1"), sample("s-2")
    one[0] = replace(one[0], at="2026-03-29T12:00:00.000251Z")
    other[2] = replace(other[2], body="{}")
    found = chain.verify([*one, *other, *sample("s-3")])
    assert [(finding.session, finding.seq) for finding in found] == [("s-1", 1), ("s-2", 3)]


def test_a_missing_entry_is_a_gap():
    first, _, third = sample()
    (finding,) = chain.verify([first, third])
    assert "entry 2 is missing" in finding.what


def test_a_chain_that_lost_its_beginning_is_a_gap():
    (finding,) = chain.verify(sample()[1:])
    assert "entry 1 is missing" in finding.what


def test_an_entry_forged_with_a_fitting_hash_breaks_the_next_link():
    first, second, third = sample()
    forged = rehashed(second, body='{"n":1}')
    (finding,) = chain.verify([first, forged, third])
    assert finding.seq == 3
    assert "does not continue" in finding.what


def test_an_entry_moved_from_another_session_is_found():
    (finding,) = chain.verify([replace(sample("s-2")[0], session="s-1")])
    assert "hash does not fit" in finding.what


@pytest.mark.parametrize(
    "body",
    [
        "",
        "{",
        "[]",
        '"text"',
        '{"a":NaN}',
        '{"a":Infinity}',
        '{"a":1e999}',
        '{"a": 1}',
        '{"b":1,"a":2}',
        '{"a":1,"a":1}',
        '{"a":"\\u00b0"}',
        "[" * 100_000,
        '{"a":' + "9" * 5000 + "}",
    ],
)
def test_a_body_that_is_not_canonical_json_is_found_even_under_a_fitting_hash(body):
    (finding,) = chain.verify([rehashed(sample()[0], body=body)])
    assert "unreadable body" in finding.what


@pytest.mark.parametrize(
    "at",
    [
        "",
        "noon",
        "2026-03-29T12:00:00Z",
        "2026-03-29T12:00:00.000250",
        "2026-03-29 12:00:00.000250Z",
    ],
)
def test_a_time_in_another_form_is_found_even_under_a_fitting_hash(at):
    (finding,) = chain.verify([rehashed(sample()[0], at=at)])
    assert "unreadable time" in finding.what


def test_an_instant_is_stored_in_utc():
    # RFC 3339, section 5.8: 1996-12-19T16:39:57-08:00 is 1996-12-20T00:39:57Z.
    pacific = datetime(1996, 12, 19, 16, 39, 57, tzinfo=timezone(timedelta(hours=-8)))
    assert chain.instant(pacific) == "1996-12-20T00:39:57.000000Z"
    assert chain.read_instant("1996-12-20T00:39:57.000000Z") == pacific


def test_a_time_without_a_zone_is_refused():
    with pytest.raises(ValueError, match="no time zone"):
        chain.link("s-1", None, "x", {}, NOON.replace(tzinfo=None))


@given(st.datetimes(), st.integers(-720, 720))
def test_instants_come_back_to_the_microsecond(moment, minutes):
    zone = timezone(timedelta(minutes=minutes))
    assume(1 < moment.year < 9999)
    aware = moment.replace(tzinfo=zone)
    assert chain.read_instant(chain.instant(aware)) == aware


def test_canonical_json_is_sorted_tight_and_keeps_letters():
    # RFC 8259 text in its shortest form; é and ° are stored as themselves.
    assert chain.canonical({"b": [1, True, None], "a": "é°"}) == '{"a":"é°","b":[1,true,null]}'


@pytest.mark.parametrize(
    "body", [{"a": float("nan")}, {"a": float("inf")}, {"a": {1, 2}}, {"a": b"x"}, {"a": "\ud800"}]
)
def test_a_body_that_json_cannot_hold_is_refused(body):
    with pytest.raises(ValueError, match="not a body that JSON can hold"):
        chain.canonical(body)


@given(
    st.dictionaries(
        st.text(),
        st.recursive(
            st.none()
            | st.booleans()
            | st.integers()
            | st.floats(allow_nan=False, allow_infinity=False)
            | st.text(),
            lambda inner: st.lists(inner) | st.dictionaries(st.text(), inner),
            max_leaves=8,
        ),
    )
)
def test_any_json_object_makes_an_entry_that_verifies_and_reads_back(body):
    entry = chain.link("s-1", None, "x", body, NOON)
    assert chain.verify([entry]) == []
    assert json.loads(entry.body) == body
