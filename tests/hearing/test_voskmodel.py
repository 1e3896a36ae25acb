import os

import pytest

from assistant.hearing import voskmodel
from assistant.hearing.recognizer import ModelMissingError


def put(folder, *places):
    for place in places:
        path = folder / place
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(b"no model")


SMALL = ("am/final.mdl", "graph/HCLr.fst", "graph/Gr.fst", "conf/model.conf")


@pytest.mark.parametrize(
    ("make", "what"),
    [
        (lambda f: f.rmdir(), "there is no such folder"),
        (lambda f: (f.rmdir(), f.write_bytes(b"PK")), "is a file; unpack it"),
        (lambda f: None, "is empty"),  # noqa: ARG005
        (lambda f: put(f, "voice.onnx", "config.json"), "holds no Vosk speech recognition model"),
        (lambda f: put(f / "model-ko", *SMALL), "one folder deeper; name"),
        (lambda f: put(f, "am/final.mdl", "graph/HCLG.fst"), "graph is fixed"),
        (lambda f: put(f, "final.mdl", "HCLG.fst"), "graph is fixed"),
        (lambda f: put(f, "am/final.mdl"), "graph/HCLr.fst is missing"),
        (lambda f: put(f, *SMALL), "cannot be opened"),
    ],
    ids=["absent", "zip", "empty", "voice", "doubled", "fixed", "flat", "incomplete", "damaged"],
)
def test_each_wrong_folder_has_a_sentence_of_its_own(make, what, tmp_path, capfd):
    folder = tmp_path / "modèle pour l'évier"
    folder.mkdir()
    make(folder)
    with pytest.raises(ModelMissingError) as caught:
        voskmodel.load(folder)
    assert what in str(caught.value)
    assert str(folder) in str(caught.value)
    assert "\n" not in str(caught.value)
    assert capfd.readouterr() == ("", "")


def test_a_doubled_folder_names_the_right_one(tmp_path):
    put(tmp_path / "model" / "model", *SMALL)
    with pytest.raises(ModelMissingError) as caught:
        voskmodel.check(tmp_path / "model")
    assert f"name {tmp_path / 'model' / 'model'} instead" in str(caught.value)


def test_a_file_that_may_not_be_read_is_named(tmp_path, monkeypatch):
    put(tmp_path, *SMALL)
    closed = tmp_path / "graph" / "Gr.fst"
    # Tests may run as a user whom no permission stops.
    monkeypatch.setattr(os, "access", lambda path, _mode: path != closed)
    with pytest.raises(ModelMissingError, match=r"Gr\.fst: may not be read"):
        voskmodel.check(tmp_path)


def test_the_digest_tells_models_apart_by_content_and_by_place(tmp_path):
    put(tmp_path / "one", *SMALL)
    put(tmp_path / "same", *SMALL)
    put(tmp_path / "moved", *SMALL[1:], "am/other.mdl")
    put(tmp_path / "changed", *SMALL)
    (tmp_path / "changed" / "am" / "final.mdl").write_bytes(b"other")
    digests = {model.name: voskmodel.digest(model) for model in tmp_path.iterdir()}
    assert digests["one"] == digests["same"]
    assert len(set(digests.values())) == 3
    assert len(digests["one"]) == 64
