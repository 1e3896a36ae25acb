"""Why a command is refused; each has its sentence in the language pack."""

from enum import StrEnum


class Refusal(StrEnum):
    """Keys of reasons; a test holds every language pack to all of them."""

    PHASE_CONFIRMING = "phase_confirming"
    PHASE_PAUSED = "phase_paused"
    PHASE_WORKING = "phase_working"
    PHASE_EMERGENCY = "phase_emergency"
    FLUSHING = "flushing"
    SAID_BEFORE = "said_before"
    CAUTION_UNHEARD = "caution_unheard"
    STILL_RUNNING = "still_running"
    ALREADY_RUNNING = "already_running"
    WAITS_FOR = "waits_for"
    TRACK_DONE = "track_done"
    EXPECTS = "expects"
    WRONG_TIMER = "wrong_timer"
    NOTHING_ASKED = "nothing_asked"
    NOT_A_NUMBER = "not_a_number"
    WRONG_UNIT = "wrong_unit"
    FIRST_STEP = "first_step"
    TIME_IS_UP = "time_is_up"
    SAME_COMPONENT = "same_component"
    UNKNOWN_COMPONENT = "unknown_component"
    MANDATORY = "mandatory"
    NO_REASON = "no_reason"
    UNFINISHED = "unfinished"
