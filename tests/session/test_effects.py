from bench import PROCEDURE

from assistant.session.command import Command, PromptEnded, Said, Verb
from assistant.session.effect import Hush, Prompt, Say, SayAgain, Style, Tone, ToneName
from assistant.session.status import status


def slots(bench, key):
    """The slots of the latest prompt of that key, as text by name."""
    prompts = [p for effect in bench.effects if isinstance(effect, Say) for p in effect.prompts]
    found = next(prompt for prompt in reversed(prompts) if prompt.key == key)
    return {slot.name: slot.text for slot in found.slots}


def test_a_session_opens_with_its_title_and_the_first_cautions(bench):
    assert bench.new_prompts() == ["opened", "opened_help", "caution", "step_act"]


def test_a_caution_is_a_prompt_of_its_own_after_the_attention_tone(bench):
    tone, say = bench.effects[1:3]
    assert tone == Tone(ToneName.ATTENTION)
    caution = say.prompts[0]
    assert (caution.step, caution.caution) == ("tube.open", "c1")


def test_every_prompt_has_an_id_of_its_own(bench):
    bench.to_end()
    for _ in range(2):
        bench.say(Verb.WHERE)
    ids = [p.id for effect in bench.effects if isinstance(effect, Say) for p in effect.prompts]
    assert len(set(ids)) == len(ids)
    assert all(ids)


def test_what_is_not_understood_gets_a_tone_and_at_the_second_time_the_choices(bench):
    bench.effects.clear()
    for _ in range(2):
        bench.at = bench.at.replace(second=bench.at.second + 1)
        bench.give(Said(None, "", bench.at, accepted=False, reason="unsure"))
    assert bench.effects[:2] == [Tone(ToneName.REFUSED), Tone(ToneName.REFUSED)]
    assert bench.new_prompts() == ["not_understood"]


def test_words_of_rejected_speech_are_not_kept(bench):
    bench.at = bench.at.replace(second=1)
    (heard,) = bench.give(
        Said(Command(Verb.NEXT), "private words", bench.at, accepted=False, runner_up="more words")
    )
    assert (heard.text, heard.runner_up, heard.command) == ("", "", "")


def test_questions_change_nothing_but_are_answered(bench):
    before = bench.state
    bench.say(Verb.REPEAT)
    assert SayAgain() in bench.effects
    bench.say(Verb.HUSH)
    assert Hush() in bench.effects
    bench.new_prompts()
    bench.say(Verb.WHERE)
    bench.say(Verb.HOW_LONG)
    bench.say(Verb.HELP)
    assert bench.new_prompts() == ["where", "no_timer", "help"]
    assert bench.state.progress == before.progress


def test_the_time_left_is_told_for_every_timer_the_most_urgent_first(bench):
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    bench.say(Verb.SWITCH, "rod")
    bench.say(Verb.NEXT)
    bench.say(Verb.START_SOAK)
    bench.pass_time(118)
    bench.new_prompts()
    bench.say(Verb.HOW_LONG)
    say = bench.effects[-1]
    assert [{s.name: s.text for s in p.slots} for p in say.prompts] == [
        {"component": "rod", "step": "soak the rod", "left": "1 s"},
        {"component": "tube", "step": "soak the tube", "left": "2 min 58 s"},
    ]


def test_the_place_names_part_step_and_count(bench):
    bench.brief(Verb.NEXT)
    bench.say(Verb.WHERE)
    assert slots(bench, "where") == {
        "component": "tube",
        "number": "2",
        "count": "6",
        "step": "enter the lot",
    }


def test_the_place_at_a_finished_part_says_so(bench):
    bench.to_end()
    assert [prompt.key for prompt in status(PROCEDURE, bench.state, bench.at)] == ["where_done"]


def test_a_ripe_and_an_overdue_timer_are_told_as_such(bench):
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    bench.pass_time(300)
    bench.new_prompts()
    bench.say(Verb.HOW_LONG, after=0)
    assert bench.new_prompts() == ["timer_ripe", "end_here"]
    bench.pass_time(630)
    bench.say(Verb.HOW_LONG, after=0)
    assert slots(bench, "timer_overdue")["over"] == "30 s"


def test_a_refusal_of_the_wrong_command_names_the_right_one_as_a_phrase(bench):
    bench.brief(Verb.NEXT)
    bench.say(Verb.NEXT)
    refusal = bench.effects[-1].prompts[0]
    assert refusal.slots[0].style is Style.PHRASES
    assert refusal.slots[0].text == Verb.LOT


def test_a_number_is_read_back_sign_by_sign_and_a_lot_spelled(bench):
    bench.brief(Verb.NEXT)
    bench.say(Verb.LOT, "A37")
    assert bench.effects[-1].prompts[0].slots[1].style is Style.SPELLED
    bench.say(Verb.AFFIRM)
    bench.say(Verb.READING, "35")
    assert bench.effects[-1].prompts[0].slots[1].style is Style.DIGITS


def test_a_refused_value_is_told_with_its_window(bench):
    bench.brief(Verb.NEXT)
    bench.say(Verb.LOT, "A37")
    bench.say(Verb.AFFIRM)
    bench.say(Verb.READING, "50")
    assert slots(bench, "value_above") == {
        "of": "bath temperature",
        "value": "50",
        "unit": "°C",
        "limits": "30\u201340 °C",
    }


def test_the_choices_name_another_part_to_switch_to(bench):
    bench.hear_cautions()
    bench.say(Verb.HELP)
    assert "switch:rod" in slots(bench, "help")["may_say"].split("|")


def test_a_prompt_that_ends_makes_nothing_be_said(bench):
    bench.effects.clear()
    bench.give(PromptEnded("1.1", "words", to_the_end=True))
    assert bench.effects == []


def test_abandoning_and_skipping_are_read_back(bench):
    bench.brief(Verb.NEXT)
    bench.say(Verb.SKIP, "damaged")
    assert slots(bench, "read_back_skip") == {"of": "enter the lot", "reason": "damaged"}
    bench.say(Verb.DENY)
    bench.say(Verb.ABANDON)
    bench.say(Verb.AFFIRM)
    assert bench.new_prompts()[-2:] == ["read_back_abandon", "abandoned"]


def test_prompts_are_plain_values():
    assert Prompt("opened") == Prompt("opened", ())


def test_the_end_of_another_parts_timer_says_where_to_turn_before_next(bench):
    """Or "next" would complete whatever is in hand."""
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    bench.brief(Verb.SWITCH, "rod")
    bench.new_prompts()
    bench.pass_time(1000)
    keys = bench.new_prompts()
    assert keys.count("end_there") == 2
    assert "end_here" not in keys
    bench.say(Verb.HOW_LONG, after=0)
    assert slots(bench, "end_there") == {"component": "tube"}
    assert bench.new_prompts()[-2:] == ["timer_overdue", "end_there"]
