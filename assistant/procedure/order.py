"""The order of a procedure: what must come before what, and whether it can.

A step comes after the steps above it in its track and after all that it needs.
The rules of the trade that are checked here:

- a cool first rinse comes before any detergent, because warmth and detergent on
  gross soil can set protein onto the surface (common practice, no source);
- a part is brushed under the surface only, and neither brushed, pressed on nor
  submerged where it does not bear that (common practice, no source).

That a bath is prepared and measured before it is used needs no check: every bath
has a track of its own, and what uses it waits for that track's last step.
"""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING

from assistant.procedure.generated import INTAKE
from assistant.procedure.model import Method, When
from assistant.procedure.spelling import near

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable

    from assistant.procedure.draft import StepDraft, TrackDraft
    from assistant.procedure.finding import Findings, Mark

MOST_STEPS = 300
_DONE = {
    Method.BRUSH: "brush",
    Method.PRESSURE: "put pressure on",
    Method.SUBMERGE: "submerge",
}


def check(
    tracks: Iterable[TrackDraft], baths: Iterable[tuple[str, Mark]], findings: Findings
) -> None:
    """Notes every mistake of order.

    Args:
        tracks: as read.
        baths: ids of the baths, with their places.
        findings: told what is wrong.
    """
    tracks = [track for track in tracks if track.steps]
    drafts = [draft for track in tracks for draft in track.steps]
    if len(drafts) > MOST_STEPS:
        findings.add(
            drafts[MOST_STEPS].mark,
            f"there are more than {MOST_STEPS} steps",
            "split the procedure",
        )
        return
    baths = tuple(baths)
    made = {INTAKE, *(bath for bath, _ in baths)}
    own_tracks = {draft.step.id: track for track in tracks for draft in track.steps}
    for draft in drafts:
        _needs(draft, own_tracks, made, findings)
    before = _all_before(tracks)
    places = {draft.step.id: draft.mark for draft in drafts}
    once = len(own_tracks) == len(drafts)  # of two steps of one id nobody knows which is meant
    for track in tracks:
        if once:
            _reachable(track, before, places, findings)
        _first_rinse(track, findings)
        _methods(track, findings)
    if not findings:
        # A step with a mistake may have meant to use what nothing uses.
        _baths(baths, drafts, findings)


def _needs(
    draft: StepDraft, own_tracks: dict[str, TrackDraft], made: Collection[str], findings: Findings
) -> None:
    """Whether each need names a step of another part."""
    for need, mark in draft.needs:
        if need not in own_tracks and need.partition(".")[0] in made:
            findings.add(
                mark,
                f'"{need}" is waited for without being named',
                "delete the need: a part waits for the intake, and a step for its bath",
            )
        elif need == draft.step.id:
            findings.add(mark, f'"{need}" waits for itself', "delete the need")
        elif need not in own_tracks:
            findings.add(mark, f'there is no step "{need}"', near(need, own_tracks))
        elif own_tracks[need] is own_tracks[draft.step.id]:
            findings.add(
                mark,
                f'"{need}" is in the same track as "{draft.step.id}"',
                "delete the need: the steps of a track follow each other as they are written",
            )


def _all_before(tracks: Iterable[TrackDraft]) -> dict[str, frozenset[str]]:
    """For each step the ids of all that must be behind us first; itself, if it waits for itself."""
    direct: dict[str, list[str]] = {}
    for track in tracks:
        own = {draft.step.id for draft in track.steps}
        above: list[str] = []
        for draft in track.steps:
            direct[draft.step.id] = above + [need for need, _ in draft.needs if need not in own]
            above = [draft.step.id]
    return {step: _closure(step, direct) for step in direct}


def _closure(step: str, direct: dict[str, list[str]]) -> frozenset[str]:
    seen: set[str] = set()
    waiting = deque(direct[step])
    while waiting:
        earlier = waiting.popleft()
        if earlier in direct and earlier not in seen:
            seen.add(earlier)
            waiting.extend(direct[earlier])
    return frozenset(seen)


def _reachable(
    track: TrackDraft,
    before: dict[str, frozenset[str]],
    places: dict[str, Mark],
    findings: Findings,
) -> None:
    """Notes the needs that close a circle, and the first step that waits for a circle."""
    told = False
    for draft in track.steps:
        step = draft.step.id
        for need, mark in draft.needs:
            if step in before.get(need, ()) and need in before[step]:
                findings.add(
                    mark,
                    f'"{step}" needs "{need}" ({places[need].place}), and "{need}" waits '
                    f'for "{step}": '
                    "neither can ever be reached",
                    "delete one of the needs between them",
                )
        circling = sorted(earlier for earlier in before[step] if earlier in before[earlier])
        if circling and step not in circling and not told:
            findings.add(
                draft.mark,
                f'"{step}" can never be reached: it waits for "{circling[0]}", '
                "which waits for itself",
                f'mend the needs of "{circling[0]}"',
            )
        told = told or bool(circling)


def _first_rinse(track: TrackDraft, findings: Findings) -> None:
    """Whether the component is rinsed cool, in every case, before it meets detergent."""
    for draft in track.steps:
        sure = draft.step.first_rinse and draft.step.when is not When.DELAYED
        if draft.contact is not None:
            findings.add(
                draft.mark,
                f'"{draft.step.id}" brings detergent to the {track.component.name} before its '
                "first rinse: detergent and warmth can set soil that was not rinsed off",
                "put a cool rinse before it, that is always done, and mark that step "
                '"first_rinse: yes"',
            )
        if draft.contact is not None or sure:
            return


def _methods(track: TrackDraft, findings: Findings) -> None:
    """Whether the part bears what is done to it, and is brushed under the surface only."""
    component = track.component
    for draft in track.own:
        for method in sorted(draft.methods & component.never):
            findings.add(
                draft.mark,
                f'"{draft.step.id}" would {_DONE[method]} the {component.name}, '
                f'and its "never" ({track.never.place}) names {method}',
                "clean it in the way that the device's instructions give, or correct one of both",
            )
        dry = Method.SUBMERGE not in draft.methods
        if Method.BRUSH in draft.methods and dry and Method.SUBMERGE not in component.never:
            findings.add(
                draft.mark,
                f'"{draft.step.id}" brushes above the surface, which throws soil into the air',
                'brush in a bath: write "bath:" with its id',
            )


def _baths(baths: Iterable[tuple[str, Mark]], drafts: list[StepDraft], findings: Findings) -> None:
    """Whether each bath is used."""
    used = {draft.contact for draft in drafts}
    for bath, mark in baths:
        if bath not in used:
            findings.add(mark, f'no step uses the bath "{bath}"', "delete it, or name it in a step")
