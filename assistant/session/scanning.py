"""What a scanned code means: by the step that is present, and by the code itself."""

from __future__ import annotations

from assistant.procedure.model import ExpiryTask, HandOnTask, IdentifyTask, LotTask
from assistant.session import event as ev
from assistant.session.handing import container
from assistant.session.intake import identify
from assistant.session.moment import AtStep, refuse
from assistant.session.refusal import Refusal
from assistant.session.values import expiry_on, lot_of
from assistant.trade.identity import Identity, IdentityError
from assistant.trade.scan import identify as read_code

_Events = tuple[ev.Event, ...]


def scanned(here: AtStep) -> _Events:
    """A code that was scanned, or typed as it is printed."""
    moment, code = here.moment, here.moment.command.value
    match here.step.task:
        case HandOnTask():
            return container(here, code.strip().upper())
        case LotTask():
            found = identity(code, moment.at.year)
            signs = code.strip().upper() if found is None or not found.lot else found.lot
            return lot_of(here, signs, code)
        case ExpiryTask():
            found = identity(code, moment.at.year)
            if found is None or found.expires_on is None:
                return refuse(moment, Refusal.BAD_CODE, "", _why(code, moment.at.year))
            return expiry_on(moment, here.step, found.expires_on, code)
        case IdentifyTask():
            found = identity(code, moment.at.year)
            if found is None:
                return refuse(moment, Refusal.BAD_CODE, "", _why(code, moment.at.year))
            return identify(here, found)
    return refuse(moment, Refusal.NO_CODE_ASKED)


def identity(code: str, year: int) -> Identity | None:
    """What the code says; None where it is none that is read here."""
    try:
        return read_code(code, year)
    except IdentityError:
        return None


def _why(code: str, year: int) -> tuple[str, ...]:
    """Why the code is of no use here."""
    try:
        read_code(code, year)
    except IdentityError as error:
        return (str(error),)
    return ("the code gives no expiry date",)
