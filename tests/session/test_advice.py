from assistant.session.command import Verb


def advice(bench):
    bench.new_prompts()
    bench.say(Verb.ADVISE)
    return bench.new_prompts()


def test_while_one_part_soaks_the_other_is_proposed(bench):
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    said = advice(bench)
    assert said[0].startswith("propose_")
    assert said[1:] == ["offer"]


def test_where_only_waiting_is_left_it_says_how_long(bench):
    bench.to_soak()
    bench.say(Verb.START_SOAK)
    bench.say(Verb.SWITCH, "rod")
    bench.say(Verb.NEXT)
    bench.say(Verb.START_SOAK)
    assert advice(bench) == ["propose_wait_to_end"]


def test_at_the_part_in_hand_no_switch_is_offered(bench):
    bench.hear_cautions()
    assert len(advice(bench)) == 1


def test_when_all_is_done_the_sign_off_is_named(bench):
    bench.to_end()
    assert advice(bench) == ["all_done"]
