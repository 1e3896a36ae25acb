"""What stands on a card, read from the printed page by pypdf and zxing-cpp."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest
import reading

from assistant.printing import press
from assistant.printing.card import Span, card, spans
from assistant.printing.code import procedure_of
from assistant.printing.fault import PressError
from assistant.printing.fit import LEAST_PT, fit
from assistant.procedure import sheet
from assistant.procedure.model import InspectionTask, Question, Rounds
from assistant.procedure.placeholder import bath_dose
from assistant.procedure.quantity import Window, parse
from assistant.station.opening import read, shipped

PAIR = Path(__file__).parent / "sheets" / "pair.yaml"
# What would be markup in the template's language, were it read as such.
NASTY = (
    r'#panic("x") $x^2$ *bold* _it_ \ [ ] `raw` "quoted" <end> @ref // no /* ~ -- = + \u{41} a--b'
)
WARM = Window(parse("30 °C"), parse("40 °C"))


def pair():
    return sheet.parse(PAIR.read_bytes(), str(PAIR))


@cache
def fitted(path, paper):
    return fit(card(read(path).procedure), paper)


@cache
def printed(path, paper="a4"):
    return reading.page(press.pdf(fitted(path, paper).setting))


def page_of(procedure):
    return reading.page(press.pdf(fit(card(procedure), "a4").setting))


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("path", shipped(), ids=lambda path: path.stem)
def test_every_shipped_procedure_fits_on_one_page(path, paper):
    assert fitted(path, paper).size_pt >= LEAST_PT
    found = printed(path, paper)
    # ISO 216: A4 is 210 mm by 297 mm; ANSI Y14.1: Letter is 8.5 in by 11 in; 72 points an inch.
    size = {"a4": (595.28, 841.89), "letter": (612, 792)}[paper]
    assert sorted((found.width, found.height)) == pytest.approx(sorted(size), abs=0.01)


@pytest.mark.parametrize("path", shipped(), ids=lambda path: path.stem)
def test_nothing_is_printed_beyond_the_margins(path):
    found = printed(path)
    margin = 5 / 25.4 * 72  # what office printers leave white, common practice, no source
    assert all(margin <= x <= found.width - margin for x, _ in found.places)
    assert all(margin <= y <= found.height - margin for _, y in found.places)


@pytest.mark.parametrize("path", shipped(), ids=lambda path: path.stem)
def test_everything_a_technician_needs_stands_on_the_card(path):
    procedure = read(path).procedure
    text = printed(path).text
    wanted = [procedure.notice, f"revision {procedure.revision}", *procedure.hazards]
    wanted += procedure.protective_equipment
    for bath in procedure.baths:
        wanted += [str(bath_dose(bath).value.rounded()), str(bath.temperature), *bath.working]
    for component in procedure.components:
        for step in component.steps:
            wanted += [step.say, *(caution.text for caution in step.cautions)]
            if isinstance(step.task, Question):
                wanted += [step.task.text, step.task.if_not]
    assert [piece for piece in wanted if reading.tight(piece) not in text] == []


@pytest.mark.parametrize("path", shipped(), ids=lambda path: path.stem)
def test_the_code_on_the_card_chooses_the_procedure(path):
    procedure = read(path).procedure
    (found,) = reading.codes(press.png(fitted(path, "a4").setting, 150))
    code = procedure_of(found.text)
    assert (code.procedure, code.revision) == (procedure.id, procedure.revision)


def test_markup_in_a_procedure_is_printed_as_it_stands():
    procedure = pair()
    tube, rod = (c for c in procedure.parts)
    first, *others = tube.steps
    caution = replace(rod.steps[0].cautions[0], text=f"Mind {NASTY}")
    nasty = replace(first, say=f"Say {NASTY}", cautions=(caution,))
    found = page_of(
        replace(
            procedure,
            title=f"title {NASTY}",
            notice=f"notice {NASTY}",
            hazards=(f"hazard {NASTY}",),
            components=(
                procedure.components[0],
                *(c for c in procedure.components[1:] if c.id not in ("tube", "rod")),
                replace(tube, name=f"name {NASTY}", steps=(nasty, *others)),
                rod,
            ),
        )
    )
    for piece in ("title ", "notice ", "hazard ", "name ", "Say ", "Mind "):
        assert reading.tight(f"{piece}{NASTY}").lower() in found.text.lower()


def test_a_word_that_no_column_holds_is_broken_and_not_lost():
    procedure = pair()
    tube = procedure.component("tube")
    word = "W" * 150
    first, *others = tube.steps
    long = replace(tube, steps=(replace(first, say=f"Say {word}"), *others))
    found = page_of(
        replace(
            procedure,
            components=tuple(long if c.id == "tube" else c for c in procedure.components),
        )
    )
    assert word in found.text
    assert len({x for x, _ in found.places}) > 1
    assert all(x < found.width for x, _ in found.places)


def test_a_sign_that_no_font_has_is_refused_and_never_left_out():
    with pytest.raises(PressError, match="\ud55c"):
        page_of(replace(pair(), title="\ud55c"))


def test_the_letters_come_from_a_wheel_and_travel_with_the_card():
    found = printed(shipped()[0])
    assert found.fonts
    assert all(font.startswith("SourceSansPro-") for font in found.fonts)
    assert found.embedded


def test_a_sign_that_the_letters_lack_comes_from_typsts_own_fonts():
    found = page_of(replace(pair(), title="\u2639"))  # a frowning face, in DejaVu Sans Mono
    assert "\u2639" in found.text
    assert found.embedded


def test_a_language_without_words_for_print_is_refused():
    with pytest.raises(PressError, match=r"printed\.yaml"):
        card(replace(pair(), language="xx"))


def test_a_card_is_the_same_bytes_each_time():
    setting = fit(card(pair()), "a4").setting
    assert press.pdf(setting) == press.pdf(setting)


def test_a_part_that_is_tested_says_what_a_failed_test_leads_to():
    procedure = read(next(path for path in shipped() if path.stem == "demo-short")).procedure
    shaft = procedure.component("shaft")
    assert all(track.again == "" for track in card(procedure).parts)
    step = replace(shaft.steps[-1], task=InspectionTask("soil", "10x"))
    tested = replace(shaft, steps=(*shaft.steps[:-1], step), rounds=Rounds(shaft.steps[1].id, 3))
    changed = replace(
        procedure,
        components=tuple(tested if c.id == "shaft" else c for c in procedure.components),
    )
    (track,) = (track for track in card(changed).parts if track.name == "shaft")
    told = "After a failed test: again from step 2, 3 rounds in all, then hold."
    assert reading.tight(track.again) == reading.tight(told)
    once = replace(tested, rounds=Rounds(shaft.steps[1].id, 1))
    parts = tuple(once if c.id == "shaft" else c for c in procedure.components)
    (track,) = (
        track for track in card(replace(changed, components=parts)).parts if track.name == "shaft"
    )
    assert track.again == "After a failed test: hold."


def test_a_step_of_another_part_is_named_as_the_card_numbers_it():
    (rod,) = (track for track in card(pair()).parts if track.name == "rod")
    assert [row.notes for row in rod.rows] == [(), ("after tube 3",), ()]


def test_what_a_part_does_not_bear_stands_above_its_steps():
    (rod,) = (track for track in card(pair()).parts if track.name == "rod")
    assert (rod.pieces, rod.never) == ("2 pieces", "Never: brush")


def test_an_unapproved_procedure_says_so():
    assert card(replace(pair(), approval=None)).approval == "approved by nobody"


@pytest.mark.parametrize(
    ("text", "figures", "strong"),
    [
        ("Add 5 mL.", {"5 mL"}, ["5 mL"]),
        ("Add 15 mL, then 5 mL.", {"5 mL"}, ["5 mL"]),
        ("Add 1.5 mL and 5 mLs.", {"5 mL"}, []),
        (f"It must be {WARM}.", {str(WARM), "40 °C"}, [str(WARM)]),
        (f"Between {WARM}.", {"40 °C"}, []),
        ("3 passes, 3.", {"3"}, ["3", "3"]),
        ("Rinse.", {""}, []),
    ],
)
def test_the_figures_of_an_instruction_stand_out(text, figures, strong):
    found = spans(text, figures)
    assert "".join(span.text for span in found) == text
    assert [span.text for span in found if span.strong] == strong
    assert all(isinstance(span, Span) and span.text for span in found)


def test_a_card_under_a_policy_says_so_and_where():
    procedure = pair()
    tube = procedure.component("tube")
    first, *others = tube.steps
    changed = replace(tube, steps=(replace(first, origin="demo lead, 2026-02-02"), *others))
    under = replace(
        procedure,
        components=tuple(changed if c.id == "tube" else c for c in procedure.components),
    )
    made = card(under, under_policy=True)
    assert made.approval.endswith(", with the facility's policy")
    (track,) = (track for track in made.parts if track.name == "tube")
    assert [row.notes for row in track.rows] == [("facility policy",), (), ()]
    assert "policy" not in card(procedure).approval
