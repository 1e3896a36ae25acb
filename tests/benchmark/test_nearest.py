"""The yardstick finds the phrase that is nearest, numbers included."""

import pytest

from tests.benchmark.nearest import NearestPhrase
from tests.benchmark.subjects import subject
from tests.benchmark.world import own


@pytest.fixture(scope="module")
def nearest():
    return subject("free", own(), None).nearest


@pytest.mark.parametrize(
    ("written", "words", "distance"),
    [
        ("start soak", "start soak", 0),
        ("starts oak", "start soak", 2),
        ("sign of the session", "sign off the session", 1),
        ("value 105 degrees", "value one oh five degrees", 0),
    ],
)
def test_the_nearest_phrase_is_found(nearest, written, words, distance):
    found, cost = nearest(written)
    assert (own().wanted(" ".join(found)), cost) == (own().wanted(words), distance)


def test_other_talk_is_near_to_nothing(nearest):
    assert nearest("what time does the next bus leave") == ((), 0)


def test_it_is_a_recognizer_of_its_own(nearest):
    assert isinstance(nearest.__self__, NearestPhrase)
