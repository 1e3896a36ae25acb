from datetime import timedelta

import pytest
from kit import cues

from assistant.record.fault import RecordUnreachableError
from assistant.session.command import Command, Said, Verb


class Full:
    """A store whose disk is full."""

    def __init__(self, store):
        self._store = store

    def append(self, *_):
        raise RecordUnreachableError("the disk is full; free some space")


def test_nothing_happens_and_the_voice_says_so_when_the_record_cannot_be_written(kit):
    course = kit.follow()
    before = course.journal.state
    course.journal.store = Full(kit.store)
    course.heard(Said(Command(Verb.AFFIRM), "affirmative", kit.clock.now()))
    assert course.journal.state == before
    assert [line.shown for line in course.queue] == [
        "Caution. The record cannot be written. Nothing was recorded. Stop and call the lead."
    ]
    assert kit.texts("fault") == ["the disk is full; free some space"]


def test_work_goes_on_where_it_stood_once_the_record_can_be_written_again(kit):
    course = kit.follow()
    course.journal.store = Full(kit.store)
    course.heard(Said(Command(Verb.AFFIRM), "affirmative", kit.clock.now()))
    course.journal.store = kit.store
    kit.rehearsal(course).follow(cues("affirmative"))
    assert course.journal.state.position["intake"] == 1
    assert kit.store.verify() == []


class LateFault:
    """A store that fails after the entries are on the disk."""

    def __init__(self, store):
        self._store = store

    def append(self, *arguments):
        self._store.append(*arguments)
        raise RecordUnreachableError("the disk failed in the last step")

    def entries(self, session):
        return self._store.entries(session)


def test_what_was_stored_although_the_append_failed_is_not_done_twice(kit):
    course = kit.follow()
    course.journal.store = LateFault(kit.store)
    course.heard(Said(Command(Verb.AFFIRM), "affirmative", kit.clock.now() + timedelta(seconds=1)))
    assert course.journal.state.position["intake"] == 0
    course.journal.store = kit.store
    course.heard(Said(Command(Verb.WHERE), "where am i", kit.clock.now() + timedelta(seconds=2)))
    assert course.journal.state.position["intake"] == 1
    assert kit.store.verify() == []


@pytest.mark.parametrize("words", ["next", "say again", "how long"])
def test_the_account_shows_what_was_heard_and_what_it_means(kit, words):
    kit.follow(words)
    row = next(row for row in kit.rows if row.kind == "heard")
    assert row.text == f'"{words}"'
    assert row.detail.startswith("= ")
