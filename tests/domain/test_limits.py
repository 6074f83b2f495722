from __future__ import annotations

import pytest

from tracegraph.domain.limits import COMMON_PRACTICE, LIMITS, Limit, limits_of


@pytest.mark.parametrize(
    ("quantity", "step", "unit", "inside", "outside"),
    [
        # Class-society rules for shop air: at least 18 °C, 80 % humidity, 40 % where spraying.
        ("ambient_temp", "laminate", "degC", 18.0, 17.9),
        ("relative_humidity", "gelcoat spray", "%", 40.0, 39.0),
        ("relative_humidity", "laminate", "%", 80.0, 80.5),
        # Coating charts: surface at least 3 °C above the dew point.
        ("dew_point_margin", "gelcoat spray", "degC", 3.0, 2.9),
        # Gelcoat guides: 12 to 24 mil wet; 1 mil = 25.4 µm.
        ("wet_film", "gelcoat spray", "um", 12.5 * 25.4, 11.5 * 25.4),
        ("wet_film", "gelcoat spray", "um", 24 * 25.4, 24.5 * 25.4),
        ("mold_temp", "gelcoat spray", "degC", 27.0, 27.5),
        # Common practice.
        ("catalyst_pct", "gelcoat spray", "%", 1.8, 2.5),
        ("gel_time", "gelcoat spray", "min", 12.0, 50.0),
        ("hours since gelcoat spray", "skin coat", "h", 24.0, 24.5),
    ],
)
def test_defaults(quantity: str, step: str, unit: str, inside: float, outside: float) -> None:
    (limit,) = limits_of(quantity, step, unit)
    assert not limit.broken_by(inside)
    assert limit.broken_by(outside)
    assert limit.source


def test_a_limit_speaks_of_its_steps_and_its_unit_alone() -> None:
    assert limits_of("relative_humidity", "bond", "%") == ()
    assert limits_of("wet_film", "gelcoat spray", "mm") == ()
    assert limits_of("wet_film", "gelcoat spray", None) == ()
    anywhere = Limit("q", "kg", 1.0, None, (), COMMON_PRACTICE)
    assert limits_of("q", "any step", "kg", [anywhere]) == (anywhere,)


def test_every_default_has_a_side_and_a_source() -> None:
    for limit in LIMITS:
        assert limit.source
        assert limit.low is not None or limit.high is not None
        if limit.low is not None and limit.high is not None:
            assert limit.low < limit.high
