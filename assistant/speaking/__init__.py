"""From words to sound: wording, voices, playback, tones."""
