"""Whatever slip happens to whatever legal plan, it is among those listed; and the odds are odds.

The slips are applied here by code of their own, from the definitions, not by that which names them.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from hypothesis import assume, given
from hypothesis import strategies as st

from audit.model.device import Setting
from audit.slips import Around, Ranking, rank, tabulated
from audit.slips.doubt import possible
from tests.slips.cases import setting, value

DIGITS = st.text("0123456789", min_size=1, max_size=10)
PRESSURE_UNITS = {"psi": Decimal("6.894757293168361"), "bar": Decimal(100), "mH2O": Decimal("9.80665")}


@st.composite
def fields(draw: st.DrawFn, *, zeros: int = 0) -> tuple[Setting, str]:
    """Return a whole-number setting with a field of some width, and a legal plan as the display shows it.

    `zeros` is how many zeros stand in front at the least.
    """
    width = draw(st.integers(2, 6))
    default = draw(st.none() | st.integers(0, 10**width - 1))
    one = setting(kind="integer", low=0, high=10**width - 1, digits=width, default=default)
    return one, str(draw(st.integers(0, 10 ** (width - zeros) - 1))).zfill(width)


@st.composite
def decimals(draw: st.DrawFn) -> tuple[Setting, Decimal]:
    """Return a pressure setting with some resolution, and a plan on its display."""
    places = draw(st.integers(0, 3))
    step = float(Decimal(1).scaleb(-places))
    number = Decimal(draw(st.integers(-(10**6), 10**6))).scaleb(-places)
    return setting(kind="decimal", unit="kPa", step=step), number


def ids(one: Setting, planned: str, found: str, around: Around | None = None) -> list[str]:
    """Return the slips listed for a value that differs from the plan."""
    expected, seen = value(planned, one), value(found, one)
    assume(expected.read)
    assume(expected.content != seen.content)
    return [slip.id for slip in rank(one, expected, seen, around or Around()).slips]


@given(fields(), st.data())
def test_one_step(field: tuple[Setting, str], data: st.DataObject) -> None:
    """Any digit one higher or lower."""
    one, digits = field
    at = data.draw(st.integers(0, len(digits) - 1))
    other = str((int(digits[at]) + data.draw(st.sampled_from((1, -1)))) % 10)

    assert "one-step" in ids(one, digits, digits[:at] + other + digits[at + 1 :])


@given(fields(), st.data())
def test_transposed(field: tuple[Setting, str], data: st.DataObject) -> None:
    """Any two neighbouring digits exchanged."""
    one, digits = field
    at = data.draw(st.integers(0, len(digits) - 2))

    assert "transposed" in ids(one, digits, digits[:at] + digits[at + 1] + digits[at] + digits[at + 2 :])


@given(fields(zeros=1))
def test_left_justified(field: tuple[Setting, str]) -> None:
    """All leading zeros moved to the end."""
    one, digits = field
    moved = digits.lstrip("0").ljust(len(digits), "0")

    assert "left-justified" in ids(one, digits, moved)


@given(fields())
def test_untouched(field: tuple[Setting, str]) -> None:
    """The default as a whole."""
    one, digits = field
    assume(one.default is not None)

    found = ids(one, digits, str(one.default))
    assert "untouched" in found
    assert "digit-left-default" not in found


@given(fields(), st.data())
def test_digit_left_default(field: tuple[Setting, str], data: st.DataObject) -> None:
    """Any of the digits that differ from the default, but not all."""
    one, digits = field
    assume(one.default is not None)
    default = str(one.default).zfill(len(digits))
    differing = [at for at in range(len(digits)) if digits[at] != default[at]]
    assume(len(differing) > 1)
    left = data.draw(st.sets(st.sampled_from(differing), min_size=1, max_size=len(differing) - 1))

    mixed = "".join(default[at] if at in left else digits[at] for at in range(len(digits)))
    assert "digit-left-default" in ids(one, digits, mixed)


@given(DIGITS, st.data())
def test_dropped_doubled(digits: str, data: st.DataObject) -> None:
    """Any digit of an identifier left out or doubled."""
    at = data.draw(st.integers(0, len(digits) - 1))
    dropped, doubled = digits[:at] + digits[at + 1 :], digits[:at] + digits[at] + digits[at:]
    one = setting(kind="text")

    assert "dropped-doubled" in ids(one, digits, doubled)
    assert not dropped or "dropped-doubled" in ids(one, digits, dropped)


@given(DIGITS, st.integers(1, 4))
def test_zeros_lost(digits: str, zeros: int) -> None:
    """An identifier without its leading zeros."""
    number = digits.lstrip("0") or "0"

    assert "zeros-lost" in ids(setting(kind="text"), number.zfill(len(number) + zeros), number)


@given(st.text("0O1Il5S8B2ZAX", min_size=1, max_size=8), st.data())
def test_look_alike(text: str, data: st.DataObject) -> None:
    """Any look-alike characters exchanged."""
    groups = {character: group for group in ("0O", "1Il", "5S", "8B", "2Z") for character in group}
    other = "".join(data.draw(st.sampled_from(groups.get(character, character))) for character in text)

    assert "look-alike" in ids(setting(kind="text"), text, other)


@given(decimals(), st.sampled_from((-3, -2, -1, 1, 2, 3)))
def test_point_shift(of: tuple[Setting, Decimal], shift: int) -> None:
    """The point moved by up to three places, where the display can show it."""
    one, number = of
    moved = number.scaleb(shift)
    assume(moved % Decimal(str(one.step)) == 0)

    assert "point-shift" in ids(one, f"{number:f}", f"{moved:f}")


@given(decimals())
def test_sign_lost(of: tuple[Setting, Decimal]) -> None:
    """The other sign."""
    one, number = of

    assert "sign-lost" in ids(one, f"{number:f}", f"{-number:f}")


@given(decimals())
def test_comma_point(of: tuple[Setting, Decimal]) -> None:
    """The mark read as a thousands mark, and the plan written with the other mark."""
    one, number = of
    text = f"{number:f}"
    assume("." in text)

    assert "comma-point" in ids(one, text, text.replace(".", ""))
    assert "comma-point" in ids(one, text, text.replace(".", ","))


@given(decimals(), st.sampled_from(sorted(PRESSURE_UNITS)), st.booleans())
def test_unit_slip(of: tuple[Setting, Decimal], unit: str, into: bool) -> None:
    """Converted into or from psi, bar and metres of water, and rounded to the display."""
    one, number = of
    factor, step = PRESSURE_UNITS[unit], Decimal(str(one.step))
    found = (number / factor if into else number * factor).quantize(step)
    assume(abs(found - number) > step)

    assert "unit-slip" in ids(one, f"{number:f}", f"{found:f}")


@given(decimals(), st.decimals(-3, 3, places=3), st.sampled_from((1, -1)))
def test_gauge_absolute(of: tuple[Setting, Decimal], weather: Decimal, sign: int) -> None:
    """The air pressure at sea level added or subtracted, in any weather."""
    one, number = of
    found = number + sign * (Decimal("101.325") + weather * Decimal("0.8"))

    assert "gauge-absolute" in ids(one, f"{number:f}", f"{found.quantize(Decimal(str(one.step))):f}")


@given(decimals(), st.integers(-1000, 1000), st.integers(1, 5000))
def test_percent_entered(of: tuple[Setting, Decimal], low: int, span: int) -> None:
    """The plan as a percentage of its range, to the resolution of the display."""
    one, number = of
    percent = (100 * (number - low) / span).quantize(Decimal(str(one.step)))
    assume(abs(percent - number) > Decimal(str(one.step)))
    ends = Around(range_low=value(str(low), one), range_high=value(str(low + span), one))

    assert "percent-entered" in ids(one, f"{number:f}", f"{percent:f}", ends)


@given(fields(), st.data())
def test_what_is_around(field: tuple[Setting, str], data: st.DataObject) -> None:
    """The earlier value, the other of a pair, a neighbour's plan, a column that counts up."""
    one, digits = field
    other = value(str(data.draw(st.integers(0, 10 ** len(digits) - 1))), one)
    around = Around(baseline=other, pair=other, neighbours=(other,), series=other)

    found = ids(one, digits, other.shown, around)
    assert {"not-saved", "pair-reversed", "neighbour-row", "filled-series"} <= set(found)


@given(st.dates(), st.booleans())
def test_date_mangled(date: Any, day_first: bool) -> None:
    """Any day of the year, written either way round and found as a date."""
    planned = f"{date.day}-{date.month}" if day_first else f"{date.month}-{date.day}"

    assert "date-mangled" in ids(setting(kind="text"), planned, date.isoformat())


@given(st.text("123456789", min_size=12, max_size=15), st.integers(1, 10))
def test_precision_lost_to_a_power(digits: str, places: int) -> None:
    """A long number as a power of ten, with any number of places."""
    assert "precision-lost" in ids(setting(kind="text"), digits, f"{Decimal(digits):.{places}E}")


@given(st.text("123456789", min_size=16, max_size=20))
def test_precision_lost_to_a_zeroed_tail(digits: str) -> None:
    """A longer number with zeros after its first fifteen digits."""
    assert "precision-lost" in ids(setting(kind="text"), digits, digits[:15].ljust(len(digits), "0"))


SETTINGS = st.sampled_from(
    [
        setting(kind="integer", low=1, high=247, digits=3, default=1),
        setting(kind="integer"),
        setting(kind="decimal", unit="kPa", step=0.1, low=-100, high=2000, default=0),
        setting(kind="decimal", unit="°C", step=0.5),
        setting(kind="option", options=("4.8", "9.6", "50"), default="9.6"),
        setting(kind="flag", default=True),
        setting(kind="text", digits=4, default="0000"),
        setting(kind="decimal", step=1e-9, low=-1e300, high=1e300),
        setting(kind="text"),
    ]
)
TEXTS = (
    st.integers(-2000, 20000).map(str)
    | st.decimals(-2000, 20000, places=2).map(str)
    | st.sampled_from(
        ["on", "off", "4.8", "50", "1,5", "3-4", "1O5", "4.02E+11", "1e5", "2026-04-03", "0x1F"]
    )
    | st.sampled_from(["1e30", "-1e-300", "9" * 18, "0" * 500, "1e-25"])
    | st.text(max_size=6)
)


@given(SETTINGS, TEXTS, TEXTS, st.none() | st.floats())
def test_odds_are_odds(one: Setting, planned: str, found: str, elevation: float | None) -> None:
    """Probabilities add up to at most one, are in order, and alone decide what is likely."""
    around = Around(elevation_m=elevation, planned_text=planned)
    expected, seen = value(planned, one), value(found, one)
    ranking = rank(one, expected, seen, around)
    odds = [slip.probability for slip in ranking.slips]

    assert ranking == rank(one, value(planned, one), value(found, one), around)
    assert all(0 < p <= 1 for p in odds)
    assert sum(odds) <= 1 + 1e-9
    assert odds == sorted(odds, reverse=True)
    if ranking.likely:
        others = [*odds[1:], 1 - sum(odds)]
        assert ranking.likely == ranking.slips[0]
        assert odds[0] >= 0.6
        assert odds[0] >= 2 * max(others) - 1e-9
    if not ranking.slips:
        assert ranking == Ranking()


@given(SETTINGS, TEXTS)
def test_a_table_says_of_every_value_what_ranking_says(one: Setting, planned: str) -> None:
    """The words of a table are those of ranking, for legal values that are not the plan."""
    expected = value(planned, one)
    assume(expected.state != "impossible")
    table = tabulated(one, expected)

    assert len(table) <= 300
    for found, words in table.items():
        seen = value(found, one)
        if seen.state == "impossible":  # more than any device holds
            continue
        assert seen.content != expected.content
        assert possible(one, seen)
        assert words == rank(one, expected, seen).words()
