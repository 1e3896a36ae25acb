"""Our reading of GS1 codes beside that of the library biip."""

from __future__ import annotations

from datetime import UTC, datetime

import biip
import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.trade.check_character import check_digit
from assistant.trade.gs1 import FNC1
from assistant.trade.identity import IdentityError
from assistant.trade.scan import identify

# biip relates two digits of a year to the present one.
YEAR = datetime.now(tz=UTC).year
AIS = ("01", "10", "11", "17", "21", "235", "240", "8003", "8004")
FIXED = {"01": 14, "11": 6, "17": 6}


def _values(ai: str) -> st.SearchStrategy[str]:
    if ai in FIXED:
        return st.text("0123456789", min_size=FIXED[ai], max_size=FIXED[ai])
    return st.text('0123456789ABCxyz-/"!', max_size=22)


elements = st.lists(
    st.sampled_from(AIS).flatmap(lambda ai: st.tuples(st.just(ai), _values(ai))),
    min_size=1,
    max_size=4,
    unique_by=lambda pair: pair[0],
)


@given(pairs=elements)
def test_what_we_read_biip_reads_alike(pairs: list[tuple[str, str]]) -> None:
    pairs = [
        (ai, value[:-1] + check_digit(value[:-1]) if ai == "01" else value) for ai, value in pairs
    ]
    code = "]C1" + FNC1.join(ai + value for ai, value in pairs)
    try:
        ours = identify(code, YEAR)
    except IdentityError:
        return
    message = biip.parse(code).gs1_message
    theirs = {element.ai.ai: element for element in message.element_strings}
    for ai, text in {
        "10": ours.lot,
        "235": ours.extension,
        "240": ours.variant,
        **({} if "8003" in theirs else {"21": ours.serial}),
    }.items():
        assert text == (theirs[ai].value if ai in theirs else "")
    for ai, day in {"11": ours.made_on, "17": ours.expires_on}.items():
        assert day == (theirs[ai].date if ai in theirs else None)
    named = [theirs[ai].value[:14] for ai in ("01", "8003") if ai in theirs]
    named += [theirs["8004"].value] if "8004" in theirs else []
    assert [ours.item] == (named or [""])


# biip lets pass what we refuse: a GRAI's check digit and a GIAI without a company prefix.
@given(pairs=elements)
def test_what_biip_refuses_we_refuse(pairs: list[tuple[str, str]]) -> None:
    code = "]C1" + FNC1.join(ai + value for ai, value in pairs)
    result = biip.parse(code)
    if result.gs1_message is None or result.gtin_error is not None:
        with pytest.raises(IdentityError):
            identify(code, YEAR)


@given(number=st.text("0123456789", min_size=1, max_size=17))
def test_check_digits_agree_with_biip(number: str) -> None:
    from biip.checksums import gs1_standard_check_digit  # noqa: PLC0415 - it may be absent

    assert check_digit(number) == str(gs1_standard_check_digit(number))


@given(number=st.integers(7, 13).flatmap(lambda n: st.text("0123456789", min_size=n, max_size=n)))
def test_prefixes_and_restricted_numbers_agree_with_biip(number: str) -> None:
    code = number + check_digit(number)
    if len(code) not in (8, 12, 13, 14):
        return
    gtin = biip.parse(code).gtin
    if gtin is None or gtin.prefix is None:
        return
    ours = identify(code, YEAR)
    if not gtin.as_gtin_14().startswith("000000"):
        assert gtin.prefix.value.startswith(ours.issuer[: len(gtin.prefix.value)])
    assert ours.internal is ("Restricted" in gtin.prefix.usage)
