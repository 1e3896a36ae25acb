"""What keeps something from being printed."""

from __future__ import annotations


class PressError(Exception):
    """Something cannot be printed; the message says what and what to do."""
