import numpy as np
import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tracegraph.stats.psychrometrics import dew_point, dew_point_margin


def celsius(fahrenheit):
    return (np.asarray(fahrenheit, float) - 32.0) / 1.8


@pytest.fixture(autouse=True)
def _si_units():
    psychrolib.SetUnitSystem(psychrolib.SI)


def test_against_the_reference_library():
    """psychrolib (ASHRAE 2017), wherever the dew point is 0 °C or above.

    Below it the library gives the frost point over ice: at 10 °C and 30 % -6.01 °C, where
    Magnus over water gives -6.81 °C.
    """
    compared = 0
    for t in range(5, 41):
        for rh in range(10, 101, 5):
            expected = psychrolib.GetTDewPointFromRelHum(t, rh / 100)
            if expected >= 0.0:
                compared += 1
                assert float(dew_point(t, rh)) == pytest.approx(expected, abs=0.04)
    assert compared > 400
    assert float(dew_point(10.0, 30.0)) == pytest.approx(-6.81, abs=0.01)


# Air °F, humidity %, Magnus dew point °C: computed for this project with the reference library
# beside it (which differs by at most 0.02 here).
@pytest.mark.parametrize(
    ("air", "humidity", "dew"),
    [(50, 50, 0.04), (60, 50, 5.16), (65, 60, 10.43), (68, 50, 9.26), (70, 65, 14.27),
     (75, 60, 15.65), (77, 50, 13.85), (80, 70, 20.74), (85, 80, 25.63), (90, 85, 29.38)],
)  # fmt: skip
def test_check_values(air, humidity, dew):
    assert float(dew_point(celsius(air), humidity)) == pytest.approx(dew, abs=0.006)


# A published chart for coating inspectors, whole degrees Fahrenheit, truncated: air, humidity,
# dew point. Its entries lie up to 1.4 °F below the computed values.
@pytest.mark.parametrize(
    ("air", "humidity", "dew"),
    [(60, 50, 40), (70, 50, 50), (70, 65, 57), (80, 50, 59), (90, 85, 84)],
)
def test_published_chart(air, humidity, dew):
    assert float(dew_point(celsius(air), humidity)) * 1.8 + 32 == pytest.approx(dew, abs=1.5)


# A published table in whole degrees Celsius.
@pytest.mark.parametrize(
    ("air", "humidity", "dew"), [(20, 50, 9), (25, 60, 16), (30, 80, 26), (15, 70, 9)]
)
def test_published_celsius_table(air, humidity, dew):
    assert float(dew_point(air, humidity)) == pytest.approx(dew, abs=0.8)


def test_saturated_air_is_at_its_dew_point():
    t = np.array([-10.0, 0.0, 18.0, 35.0])
    assert dew_point(t, 100.0) == pytest.approx(t, abs=1e-9)


@pytest.mark.parametrize("humidity", [0.0, -5.0, 100.5, float("nan"), float("inf")])
def test_impossible_humidity_gives_nan(humidity):
    assert np.isnan(dew_point(20.0, humidity))
    assert np.isnan(dew_point_margin(20.0, 20.0, humidity))


# With the mold at air temperature a margin of 3 °C fails above these humidities.
@pytest.mark.parametrize(("air", "humidity"), [(18, 82), (21, 82), (25, 83), (30, 84)])
def test_where_three_degrees_are_lost(air, humidity):
    assert dew_point_margin(air, air, humidity - 1) > 3.0
    assert dew_point_margin(air, air, humidity + 1) < 3.0


def test_a_cold_mold_in_warm_damp_air_is_wet():
    assert dew_point_margin(15.0, 25.0, 60.0) < 0.0


@given(st.floats(-30, 50), st.floats(1, 100), st.floats(1, 100))
def test_damper_air_condenses_sooner(t, one, other):
    low, high = sorted([one, other])
    assert dew_point(t, low) <= dew_point(t, high) + 1e-12
    assert dew_point(t, high) <= t + 1e-9
