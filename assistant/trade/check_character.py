"""Check digits and check characters: what the last sign of a number must be.

Neither finds everything.  The check digit misses an exchange of neighbours that
differ by five; the check character misses every exchange inside the data, because
it is a plain sum.  So what a code says is read back to a person.
"""

from __future__ import annotations

# ANSI/HIBC 2.6, Appendix B: the values 0 to 42, which are those of Code 39.
MOD_43 = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ-. $/+%"


def check_digit(digits: str) -> str:
    """The digit that follows these (GS1 General Specifications, section 7.9.1).

    The weights are 3 and 1 by turns, 3 for the digit next to the check digit.

    Args:
        digits: the number without its check digit, ASCII digits only.
    """
    weighted = (int(digit) * (1 if place % 2 else 3) for place, digit in enumerate(digits[::-1]))
    return str(-sum(weighted) % 10)


def check_character(signs: str) -> str:
    """The character that follows these (ANSI/HIBC 2.6, Appendix B): their sum modulo 43.

    Args:
        signs: the data with its leading "+", signs of ``MOD_43`` only.
    """
    return MOD_43[sum(map(MOD_43.index, signs)) % 43]
