"""Stacks and widths of tracks, held to a search over all of them."""

import itertools
import json
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.printing.arrange import ARRANGEMENTS, PAPERS, laid_out
from assistant.printing.balance import height, stacked, widths
from assistant.printing.card import card
from assistant.procedure import sheet

PAIR = Path(__file__).parent / "sheets" / "pair.yaml"
CARD = card(sheet.parse(PAIR.read_bytes(), str(PAIR)))
TRACK = CARD.parts[0]
LENGTHS = st.lists(st.integers(1, 12), min_size=1, max_size=7)


def tracks(lengths):
    """Tracks of so many times the same step."""
    return tuple(
        replace(TRACK, name=str(number), rows=TRACK.rows[:1] * length)
        for number, length in enumerate(lengths)
    )


@given(LENGTHS, st.data())
def test_stacks_keep_all_tracks_in_order_and_are_as_low_as_can_be(lengths, data):
    made = tracks(lengths)
    count = data.draw(st.integers(1, len(made)))
    found = stacked(made, count)
    assert len(found) == count
    assert all(found)
    assert tuple(itertools.chain(*found)) == made

    def highest(stacks):
        return max(sum(height(track, 30.0) for track in stack) for stack in stacks)

    every = []
    for cut in itertools.product([False, True], repeat=len(made) - 1):
        stacks = [[made[0]]]
        for new, track in zip(cut, made[1:], strict=True):
            stacks = [*stacks, [track]] if new else [*stacks[:-1], [*stacks[-1], track]]
        if len(stacks) == count:
            every.append(highest(stacks))
    assert highest(found) == pytest.approx(min(every))


@given(LENGTHS, st.floats(60, 120))
def test_widths_fill_the_row_and_the_longer_track_is_no_narrower(lengths, all_em):
    made = [(track,) for track in tracks(lengths[:4])]
    found = widths(made, all_em, 0.9)
    assert sum(found) + 0.9 * (len(found) - 1) == pytest.approx(all_em)
    assert all(width > 0 for width in found)
    longest = max(range(len(made)), key=lambda index: lengths[index])
    assert found[longest] >= max(found) - 1e-9 or lengths.count(max(lengths[:4])) > 1


@pytest.mark.parametrize("arrangement", ARRANGEMENTS, ids=str)
def test_every_arrangement_has_a_place_for_every_track(arrangement):
    rows = json.loads(laid_out(CARD, PAPERS["a4"], arrangement, 10)["rows"])
    placed = sum(stack["tracks"] for row in rows for stack in row)
    assert placed == (0 if arrangement.kind == "flow" else len(CARD.before) + len(CARD.parts))
