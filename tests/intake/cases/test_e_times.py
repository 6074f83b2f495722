"""Kind E: dates and times."""

from datetime import date, datetime

import pytest

from tests.intake.yard import Yard

HULLS = "hull_serial,model,completed_on\n"
OPERATIONS = "operation_id,step,hull_serial,started_at\n"


def hulls(*days: str) -> str:
    return HULLS + "".join(f"BT-{n},S22,{day}\n" for n, day in enumerate(days))


def operations(*times: str) -> str:
    return OPERATIONS + "".join(f"O{n},bond,BT-1,{time}\n" for n, time in enumerate(times))


def test_e1_1_an_ambiguous_column_needs_a_stated_order(yard: Yard) -> None:
    yard.load_files(hulls__csv=hulls("04/03/2026"))
    assert yard.column("hulls", "completed_on") == [None]
    assert "day first or month first" in yard.cleaned("completed_on")[0][3]
    yard.write("intake.toml", 'dates = "day first"')
    yard.load()
    assert yard.column("hulls", "completed_on") == [date(2026, 3, 4)]


def test_e1_2_one_date_tells_the_order_of_the_column(yard: Yard) -> None:
    yard.load_files(hulls__csv=hulls("31/12/2025", "10/03/2026"))
    assert yard.column("hulls", "completed_on") == [date(2025, 12, 31), date(2026, 3, 10)]
    assert "day first" in yard.remarks("order of dates")[0][1]


def test_e1_2_dates_that_contradict_each_other_are_not_read(yard: Yard) -> None:
    yard.load_files(hulls__csv=hulls("31/12/2025", "12/31/2025", "04/03/2026"))
    assert yard.column("hulls", "completed_on") == [None, None, None]


def test_e1_3_an_impossible_date_switches_nothing(yard: Yard) -> None:
    yard.load_files(hulls__csv=hulls("31/12/2025", "10/03/2026", "13/14/2026"))
    assert yard.column("hulls", "completed_on") == [date(2025, 12, 31), date(2026, 3, 10), None]
    yard.write("intake.toml", 'dates = "month first"')
    yard.write("hulls.csv", hulls("03/10/2026", "13/14/2026"))
    yard.load(fresh=True)
    assert yard.column("hulls", "completed_on") == [date(2026, 3, 10), None]


def test_e2_1_two_digit_years_need_an_order_and_a_window(yard: Yard) -> None:
    yard.write("intake.toml", 'dates = "day first"')
    yard.load_files(hulls__csv=hulls("07-05-25"))
    assert yard.column("hulls", "completed_on") == [None]
    yard.write("intake.toml", 'dates = "day first"\ntwo_digit_years_from = 1990')
    yard.load()
    assert yard.column("hulls", "completed_on") == [date(2025, 5, 7)]


def test_e2_2_a_year_far_from_the_others_is_not_believed(yard: Yard) -> None:
    yard.write("intake.toml", 'dates = "day first"\ntwo_digit_years_from = 1990')
    header = "claim_no,hull_serial,symptom,opened_on\n"
    yard.load_files(claims__csv=header + "C1,BT-1,leak,07-05-25\nC2,BT-1,leak,07-05-69\n")
    assert yard.column("claims", "opened_on") == [date(2025, 5, 7)]
    [(row, reason)] = yard.reasons()
    assert row == 3
    assert "2069-05-07 is out of range" in reason


BERLIN = 'time_zone = "Europe/Berlin"\n'


def test_e3_1_an_hour_that_came_twice(yard: Yard) -> None:
    yard.write("intake.toml", BERLIN)
    yard.load_files(operations__csv=operations("2025-10-26 02:15", "2025-10-26 04:15"))
    assert yard.column("operations", "started_at") == [datetime(2025, 10, 26, 3, 15)]
    [(_, reason)] = yard.reasons()
    assert "00:15Z" in reason
    assert "01:15Z" in reason


def test_e3_2_an_hour_that_never_was(yard: Yard) -> None:
    yard.write("intake.toml", BERLIN)
    yard.load_files(operations__csv=operations("2026-03-29 02:30", "2026-03-29 03:30"))
    assert yard.column("operations", "started_at") == [datetime(2026, 3, 29, 1, 30)]
    [(_, reason)] = yard.reasons()
    assert "clocks went forward" in reason


def test_e3_3_the_order_of_rows_tells_the_hours_apart(yard: Yard) -> None:
    yard.write(
        "intake.toml",
        BERLIN
        + """
[[files]]
match = "log.csv"
in_time_order = true
[[files.tables]]
table = "ambient"
columns = { station = "s", at = "t", value = "v" }
constants = { quantity = "ambient_temp", unit = "degC" }
""",
    )
    clock = ["01:30", "02:00", "02:30", "02:00", "02:30", "03:00"]
    yard.load_files(log__csv="s,t,v\n" + "".join(f"B1,2025-10-26 {t},20\n" for t in clock))
    assert [t.strftime("%H:%M") for t in yard.column("ambient", "at")] == [
        "23:30",
        "00:00",
        "00:30",
        "01:00",
        "01:30",
        "02:00",
    ]
    assert len(yard.cleaned("at")) >= 4


def test_e4_1_zones_in_one_column(yard: Yard) -> None:
    yard.write("intake.toml", BERLIN)
    yard.load_files(
        operations__csv=operations(
            "2026-01-05 09:00+01:00", "2026-01-05T08:00Z", "2026-01-05 09:00"
        )
    )
    assert yard.column("operations", "started_at") == [datetime(2026, 1, 5, 8)] * 3
    assert yard.rows("SELECT value FROM meta WHERE key = 'time_zone'") == [("Europe/Berlin",)]


@pytest.mark.parametrize("day", ["2026-04-31", "2062-01-05", "1970-01-01", "9999-12-31"])
def test_e5_1_a_date_that_cannot_be(yard: Yard, day: str) -> None:
    rows = [f"2026-01-{n:02d}" for n in range(1, 20)]
    yard.write("intake.toml", "")
    yard.load_files(hulls__csv=hulls(*rows, day))
    found = yard.column("hulls", "completed_on")
    assert len(found) == 20
    if day != "1970-01-01":
        assert found[-1] is None
        assert [raw for _, raw, _, _ in yard.cleaned("completed_on")] == [day]


def test_e5_1_a_claim_before_its_hull_was_built(yard: Yard) -> None:
    yard.load_files(
        hulls__csv=hulls("2026-01-05"),
        claims__csv="claim_no,hull_serial,opened_on,symptom\nC1,BT-0,2025-06-01,leak\n",
    )
    assert yard.column("claims", "claim_no") == ["C1"]
    assert "C1" in yard.remarks("claim before build")[0][1]


@pytest.mark.parametrize(
    ("text", "day"),
    [
        ("5 Jan 2026", date(2026, 1, 5)),
        ("January 5, 2026", date(2026, 1, 5)),
        ("20260105", date(2026, 1, 5)),
        ("2026/01/05", date(2026, 1, 5)),
        ("2026-01-05 17:30", date(2026, 1, 5)),
        ("05-Jan-2026", date(2026, 1, 5)),
    ],
)
def test_dates_with_one_reading_need_no_setting(yard: Yard, text: str, day: date) -> None:
    yard.load_files(hulls__csv=hulls(f'"{text}"'))
    assert yard.column("hulls", "completed_on") == [day]


@pytest.mark.parametrize("text", ["5-Mar-25", "Mar 5, '25", "05 March 25"])
def test_e2_1_short_years_behind_the_name_of_a_month(yard: Yard, text: str) -> None:
    yard.write("intake.toml", 'dates = "day first"\ntwo_digit_years_from = 1990\n')
    yard.load_files(hulls__csv=hulls(f'"{text}"'))
    assert yard.column("hulls", "completed_on") == [date(2025, 3, 5)]
    yard.write("intake.toml", "")
    yard.load()
    assert yard.column("hulls", "completed_on") == [None]


def test_e2_2_no_claim_lies_in_the_future(yard: Yard) -> None:
    yard.load_files(
        claims__csv="claim_no,hull_serial,opened_on,symptom\n1,B,2076-01-05,x\n2,B,2075-01-05,x\n"
    )
    assert "after this load" in yard.remarks("order of days")[0][1]


@pytest.mark.parametrize(
    "text",
    ["2026-07-01T07:00:00 UTC", "2026-07-01 07:00 GMT", "20260701T070000Z", "2026-07-01 9.00"],
)
def test_e4_1_other_ways_to_write_the_zone(yard: Yard, text: str) -> None:
    yard.write("intake.toml", 'time_zone = "Europe/Berlin"\n')
    yard.load_files(operations__csv=operations(text))
    assert yard.column("operations", "started_at") == [datetime(2026, 7, 1, 7)]


def test_e5_1_days_the_wrong_way_round_are_flagged_and_kept(yard: Yard) -> None:
    yard.load_files(
        hulls__csv="hull_serial,model,hin,completed_on,shipped_on\n"
        "BT-1,S22,US-ABC12345A626,2026-01-05,2025-12-01\n",
        claims__csv="claim_no,hull_serial,opened_on,failed_on,symptom\n"
        "1,US-ABC12345A626,2026-02-01,2025-06-01,leak\n",
    )
    assert len(yard.remarks("order of days")) == 1
    assert len(yard.remarks("claim before build")) == 1
    assert yard.column("hulls", "shipped_on") == [date(2025, 12, 1)]


def test_e_times_of_one_reading_in_rarer_forms(yard: Yard) -> None:
    told = {
        "2026-01-05 24:00": datetime(2026, 1, 6),
        "2016-12-31T23:59:60Z": datetime(2017, 1, 1),
        "2026-W02-1": datetime(2026, 1, 5),
        "2026-W02-1T07:30": datetime(2026, 1, 5, 7, 30),
        "2026-005": datetime(2026, 1, 5),
        "20260105073000": datetime(2026, 1, 5, 7, 30),
        "5th Jan 2026 07:30": datetime(2026, 1, 5, 7, 30),
        '"Monday, 5 January 2026 07:30"': datetime(2026, 1, 5, 7, 30),
        "2026-01-05 07:30+14:00": datetime(2026, 1, 4, 17, 30),
    }
    yard.load_files(operations__csv=operations(*told))
    assert yard.reasons() == []
    assert yard.column("operations", "started_at") == [*told.values()]


def test_e_times_that_cannot_be(yard: Yard) -> None:
    texts = ["2026-01-05 24:01", "2026-W54-1", "2026-366", "2026-01-05 07:30+25:00", "07:30"]
    texts += ["\u0662\u0660\u0662\u0666-01-05", "2026-01-05 07:60", "2026-01-05 07:30 EST"]
    yard.load_files(operations__csv=operations(*texts))
    assert yard.column("operations", "started_at") == []
    assert "time of day" in dict(yard.reasons())[6]


def test_e2_1_the_reason_names_the_window_of_years(yard: Yard) -> None:
    yard.write("intake.toml", 'dates = "day first"\n')
    yard.load_files(hulls__csv=hulls("5.1.26"))
    assert "two_digit_years_from" in yard.cleaned("completed_on")[0][3]
