"""The real sound card, through sounddevice and PortAudio."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from assistant.speaking.playback import BLOCK_S, PlaybackError

if TYPE_CHECKING:
    from collections.abc import Callable

    from assistant.speaking.playback import Fill, Stream


class SoundCard:
    """A sound card by name; None for the system's default one."""

    def __init__(self, name: str | None = None) -> None:
        """Find the card.

        Raises:
            PlaybackError: PortAudio or the card is missing.
        """
        self._portaudio = _portaudio()
        self._name = name
        self._own_rate = int(self._query()["default_samplerate"])

    def open(
        self, clip_rate: int, make: Callable[[int], Fill], ended: Callable[[], None]
    ) -> Stream:
        """Begin to play, at the clip's rate or at the card's own where it must.

        Raises:
            PlaybackError: it cannot be opened.
        """
        portaudio = self._portaudio
        rate = clip_rate if self._can_play(clip_rate) else self._own_rate
        fill = make(rate)

        def pull(block: Any, *_: object) -> None:  # noqa: ANN401 - a NumPy array, (n, 1)
            if not fill(block[:, 0]):
                raise portaudio.CallbackStop

        try:
            stream = portaudio.OutputStream(
                samplerate=rate,
                channels=1,
                dtype="float32",
                device=self._name,
                blocksize=round(rate * BLOCK_S),
                latency="low",
                callback=pull,
                finished_callback=ended,
            )
            try:
                stream.start()
            except portaudio.PortAudioError:
                stream.close()
                raise
        except (portaudio.PortAudioError, ValueError) as error:
            raise PlaybackError(
                f"The sound card cannot be opened ({error}): close the program that uses it, "
                "or go on with printed prompts."
            ) from error
        opened: Stream = stream
        return opened

    def _query(self) -> Any:  # noqa: ANN401 - PortAudio's own table
        try:
            return self._portaudio.query_devices(self._name, "output")
        except (self._portaudio.PortAudioError, ValueError) as error:
            which = f'named "{self._name}"' if self._name else "to play on"
            raise PlaybackError(
                f"There is no sound card {which}: the usual causes are a container without "
                "/dev/snd and a user outside the group audio; or go on with printed prompts."
            ) from error

    def _can_play(self, rate: int) -> bool:
        try:
            self._portaudio.check_output_settings(
                device=self._name, channels=1, dtype="float32", samplerate=rate
            )
        except (self._portaudio.PortAudioError, ValueError):
            return False
        return True


def _portaudio() -> Any:  # noqa: ANN401 - the module has no types
    try:
        import sounddevice  # noqa: PLC0415 - without PortAudio its import raises
    except OSError as error:
        raise PlaybackError(
            "PortAudio is missing, so no sound can be played: install the system package "
            "libportaudio2 (Debian, Ubuntu) or portaudio, or go on with printed prompts."
        ) from error
    return sounddevice
