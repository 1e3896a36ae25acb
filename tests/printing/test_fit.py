"""A card on one page: as large as it goes, whole, or refused."""

from dataclasses import replace
from pathlib import Path

import pytest
import reading

from assistant.printing import press
from assistant.printing.arrange import ARRANGEMENTS, PAPERS, laid_out
from assistant.printing.card import card
from assistant.printing.fault import PressError
from assistant.printing.fit import LEAST_PT, fit
from assistant.procedure import sheet

PAIR = Path(__file__).parent / "sheets" / "pair.yaml"
SENTENCE = "Rinse every side of it with cool running water until no soil can be seen on it. "


def grown(steps, sentences=1):
    """The small card with that many more steps on its last part."""
    made = card(sheet.parse(PAIR.read_bytes(), str(PAIR)))
    *others, last = made.parts
    row = last.rows[-1]
    span = replace(row.text[0], text=SENTENCE * sentences)
    more = tuple(
        replace(row, number=100 + number, text=(replace(span, text=f"{number} {span.text}"),))
        for number in range(steps)
    )
    return replace(made, parts=(*others, replace(last, rows=(*last.rows, *more))))


@pytest.mark.parametrize("steps", [0, 12, 24])
def test_nothing_is_cut_off_however_full_the_card_is(steps):
    made = grown(steps)
    found = fit(made, "a4")
    page = reading.page(press.pdf(found.setting))
    for number in range(steps):
        assert reading.tight(f"{number} {SENTENCE}") in page.text
    assert all(0 < x < page.width and 0 < y < page.height for x, y in page.places)


def test_more_text_makes_smaller_letters_never_below_the_least():
    sizes = [fit(grown(steps), "a4").size_pt for steps in (0, 12, 24)]
    assert sizes == sorted(sizes, reverse=True)
    assert len(set(sizes)) == len(sizes)
    assert all(size >= LEAST_PT for size in sizes)


def test_larger_paper_takes_larger_letters():
    made = grown(20)
    assert fit(made, "a3").size_pt > fit(made, "a4").size_pt


def test_a_card_that_cannot_fit_is_refused_with_a_way_out():
    with pytest.raises(PressError) as caught:
        fit(grown(120), "letter")
    assert "one page of Letter" in str(caught.value)
    assert "9 pt" in str(caught.value)
    assert "--paper tabloid" in str(caught.value)
    with pytest.raises(PressError) as caught:
        fit(grown(300), "tabloid")
    assert "--paper" not in str(caught.value)


def test_what_is_said_to_fit_has_all_its_text_on_the_page():
    # What cannot be broken runs over the edge of a page without a second page.
    made = grown(8)
    chosen = fit(made, "a4").setting
    said = []
    for arrangement in ARRANGEMENTS:
        for size_pt in (9, 15):
            layout = laid_out(made, PAPERS["a4"], arrangement, size_pt)
            setting = replace(chosen, layout=layout)
            said.append(press.fits(setting))
            if said[-1]:
                page = reading.page(press.pdf(setting))
                assert all(0 < x < page.width and 0 < y < page.height for x, y in page.places)
    assert 0 < sum(said) < len(said)


def test_every_paper_is_one_that_the_press_knows():
    made = card(sheet.parse(PAIR.read_bytes(), str(PAIR)))
    widths = {
        paper: sorted((page.width, page.height))
        for paper in PAPERS
        for page in [reading.page(press.pdf(fit(made, paper).setting))]
    }
    # ISO 216: A3 is 297 mm by 420 mm; ANSI Y14.1: size B is 11 in by 17 in.
    assert widths["a3"] == pytest.approx([297 / 25.4 * 72, 420 / 25.4 * 72], abs=0.01)
    assert widths["tabloid"] == pytest.approx([11 * 72, 17 * 72], abs=0.01)
