"""Six cleanings, one a device, from intake to disposition: typed, and spoken.

The scripts are invented, as the devices are; how a technician works in them is common
practice, no source.
"""

import time

import pytest
from cleaning import CLEANINGS, Spoken, Technician
from click.testing import CliRunner
from kit import Kit

from assistant.cli.main import cli
from assistant.hearing.choose import Choice, Vocabulary, choose
from assistant.record import codec
from assistant.record.store import Store
from assistant.session.event import DeviationKind
from assistant.session.evolve import fold
from assistant.speaking.voice import PrintedVoice
from assistant.station import assemble
from assistant.station.ear import Ear
from assistant.station.opening import shipped
from assistant.station.rehearsal import Rehearsal

EACH = pytest.mark.parametrize("cleaning", CLEANINGS, ids=lambda cleaning: cleaning.path.stem)
MOST_AGAIN = 0.1  # of the lines


def test_every_shipped_device_has_a_script_of_its_own():
    devices = {path.stem for path in shipped()} - {"demo-short"}
    assert {cleaning.path.stem for cleaning in CLEANINGS} == devices


def test_every_kind_of_deviation_happens_in_some_script():
    assert {kind for cleaning in CLEANINGS for kind in cleaning.deviations} == set(DeviationKind)


def test_at_least_four_voices_and_four_speeds_speak():
    assert len({cleaning.voice for cleaning in CLEANINGS}) >= 4
    assert len({cleaning.rate for cleaning in CLEANINGS}) >= 4


@EACH
def test_a_typed_cleaning_comes_to_what_its_script_means(cleaning, tmp_path):
    record = tmp_path / "record.db"
    arguments = [
        "rehearse",
        cleaning.sheet(tmp_path),
        "--script",
        cleaning.path,
        "--record",
        record,
    ]
    done = CliRunner().invoke(cli, [*map(str, arguments), "--json"])
    assert done.exit_code == 0, done.output
    assert '"kind": "rejected"' not in done.output
    with Store.open(record, write=False) as store:
        (summary,) = store.sessions()
        state = fold(codec.events(store.entries(summary.id)))
        assert cleaning.outcome(state) == cleaning.meant
        assert store.verify() == []


class Watched:
    """A recognizer that keeps how long it took, in milliseconds."""

    def __init__(self, recognizer):
        self.recognizer = recognizer
        self.name, self.model_sha256 = recognizer.name, recognizer.model_sha256
        self.took = []

    def hear(self, utterance):
        heard = self.recognizer.hear(utterance)
        self.took.append(heard.decode_ms)
        return heard


@EACH
def test_a_spoken_cleaning_comes_to_what_its_script_means(cleaning, tmp_path, record_property):
    begun = time.perf_counter()
    plan = assemble.plan(cleaning.sheet(tmp_path), "en", ())
    known = plan.interpreter
    vocabulary = Vocabulary("en", known.grammar, known.automaton, known.pack.orthography)
    recognizer = Watched(choose(vocabulary, Choice.NEURAL).recognizer)
    path = tmp_path / "record.db"
    technician = Technician(cleaning.voice, cleaning.rate)
    with Store.open(path, write=True) as store:
        kit = Kit(path, store, plan=plan)
        course = kit.begin()
        spoken = Spoken(course, kit.rows, known, technician)
        ear = Ear(known, recognizer, technician)
        Rehearsal(course, kit.clock, PrintedVoice(), ear).follow(spoken.cues(cleaning.cues))
        technician.close()
        findings = store.verify()
    seconds = time.perf_counter() - begun
    figures = (
        f"{cleaning.lines} lines, {len(spoken.again)} said again, {len(spoken.scanned)} scanned, "
        f"{len(spoken.wrong)} wrong, "
        f"{seconds:.0f} s, {sum(recognizer.took) / len(recognizer.took):.0f} ms a line"
    )
    record_property("spoken cleaning", figures)
    told = "\n".join([figures, *spoken.wrong, *spoken.lost, *spoken.scanned, *spoken.again])
    print(told)  # noqa: T201 - shown where the test fails
    assert spoken.wrong == [], told
    assert spoken.lost == [], told
    assert cleaning.outcome(course.journal.state) == cleaning.meant, told
    assert len(spoken.again) <= MOST_AGAIN * cleaning.lines, told
    assert findings == []
