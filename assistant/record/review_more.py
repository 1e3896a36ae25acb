"""The log's rows about the intake, the baths and the parts."""

from __future__ import annotations

from assistant.session import event as ev


def more_told(event: ev.Event) -> tuple[str, str]:
    """What kind of thing an event is, and its sentence; two empty texts for none."""
    for tell in (_intake, _bath, _bay, _part):
        told = tell(event)
        if told[0]:
            return told
    return "", ""


def _intake(event: ev.Event) -> tuple[str, str]:
    match event:
        case ev.ProcedureBarred():
            return "barred", f"procedure {event.reason}: {event.about}"
        case ev.ProcedureOverridden():
            return "overridden", event.reason
        case ev.DeviceIdentified():
            said = (event.item, event.serial, event.lot, *event.warnings)
            return "device", f"by {event.how} {' '.join(part for part in said if part)}".strip()
        case ev.ItemNoted():
            return event.kind.replace("_", " "), event.name
        case ev.DelayFound():
            return "delayed", event.instead
        case ev.PartGivenUp():
            return "given up", f"{event.component}: only to be handed on"
        case ev.StepPassedOver():
            return "passed over", f"{event.step}, {event.reason}"
    return "", ""


def _bath(event: ev.Event) -> tuple[str, str]:
    match event:
        case ev.BathStood():
            return "bath", f"{event.bath} stands from session {event.session}, {event.uses} uses"
        case ev.BathTaken():
            return "bath", f"{event.bath} taken over"
        case ev.BathMade():
            return "bath", f"{event.bath} made, lot {event.lot}, expires {event.expires_on}"
        case ev.BathMeasured():
            where = "within" if event.within else "outside"
            return "bath", f"{event.bath} {event.value} {event.unit}, {where} its window"
        case ev.BathDoubtful():
            return "bath", f"{event.bath} was expected to leave its window"
        case ev.MixAdvised():
            return "bath", f"{event.bath}: {event.water} of {event.tap} gives {event.after}"
        case ev.BathUsed():
            return "bath", f"{event.bath} serves {event.component}"
        case ev.BathSpoiled():
            return "bath", f"{event.bath}: {event.what}"
        case ev.BathEmptied():
            return "bath", f"{event.bath} given up; {'; '.join(event.reasons)}".rstrip("; ")
    return "", ""


def _bay(event: ev.Event) -> tuple[str, str]:
    match event:
        case ev.BayTurned():
            return "bay", f"{event.bay}: {', '.join(event.changes) or 'used'} ({event.step})"
    return "", ""


def _part(event: ev.Event) -> tuple[str, str]:
    match event:
        case ev.Tallied():
            return "counted", f"{event.step}: {event.kind} {event.count} {event.result}".rstrip()
        case ev.Tested():
            value = f"{event.value} {event.unit}".strip()
            return "tested", f"{event.of}: {value}, {event.outcome}"
        case ev.RoundBegun():
            return "again", f"{event.component}, round {event.number} of {event.most}"
        case ev.DeviationsAccepted():
            return "accepted", f"{event.component}: {event.count} deviations, {event.reason}"
        case ev.DispositionChosen():
            return "disposition", f"{event.component}: {event.disposition}, {event.reason}"
        case ev.Disposed():
            where = f"{event.disposition}, container {event.container}"
            return "handed on", f"{event.component}: {where}, because: {event.reason}"
    return "", ""
