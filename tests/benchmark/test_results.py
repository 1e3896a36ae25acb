"""Results outlive a run that is broken off, and are never mixed with another program's."""

import pytest

from tests.benchmark import results
from tests.benchmark.results import OtherVersionError, Results
from tests.benchmark.trial import Row


def row(case, outcome="right"):
    return Row(
        part="own",
        condition="clean",
        case=case,
        recognizer="neural",
        group="fixed",
        human=False,
        said="next",
        wanted="next",
        outcome=outcome,
        heard="next",
        reason="",
        cause="",
        accepts=1,
        audio_s=3.0,
        latency_s=0.5,
        endpoint_s=0.4,
        decode_ms=(90.0,),
        cpu_ms=(80.0,),
        score=-1.0,
        lead=None,
    )


def test_what_was_heard_is_there_when_the_run_goes_on(tmp_path):
    path = tmp_path / "out" / "rows.jsonl"
    Results(path).add([row("one"), row("two")])
    again = Results(path)
    again.add([row("two", outcome="wrong")])
    kept = Results(path).rows
    assert [kept[key] for key in kept] == [row("one"), row("two", outcome="wrong")]


def test_results_of_another_program_are_refused_unless_they_are_given_up(tmp_path, monkeypatch):
    path = tmp_path / "rows.jsonl"
    Results(path).add([row("one")])
    monkeypatch.setattr(results, "fingerprint", lambda: "another")
    with pytest.raises(OtherVersionError, match="--fresh"):
        Results(path)
    assert Results(path, fresh=True).rows == {}


def test_the_fingerprint_is_of_what_is_tested_and_not_of_what_only_prints(tmp_path, monkeypatch):
    folder = tmp_path / "tests" / "benchmark"
    folder.mkdir(parents=True)
    monkeypatch.setattr(results, "_ROOT", tmp_path)
    (folder / "mixing.py").write_text("one")
    before = results.fingerprint()
    (folder / "table.py").write_text("prints")
    assert results.fingerprint() == before
    (folder / "mixing.py").write_text("two")
    assert results.fingerprint() != before
