#!/usr/bin/env python3
"""Writes what independent libraries make of business days, months and the ends of local days.

    python3 testdata/calendar/fixtures.py

Each file's head names the libraries and their versions. federal_holidays.txt says in its own head how it was written.
"""
import datetime
import pathlib
import platform
import zoneinfo

import dateutil
import numpy
import pandas
from dateutil.relativedelta import relativedelta
from pandas.tseries.holiday import USFederalHolidayCalendar

here = pathlib.Path(__file__).parent
python = "Python " + platform.python_version()


def write(name, what, lines):
    (here / name).write_text("# " + what + "\n# Written by testdata/calendar/fixtures.py\n" + "\n".join(lines) + "\n")


def business_days():
    holidays = USFederalHolidayCalendar().holidays("2009-01-01", "2032-12-31").values.astype("datetime64[D]")
    for day in numpy.arange("2011-01-01", "2031-01-01", 9, dtype="datetime64[D]"):
        for n in (1, 2, 5, 10, 30, -1, -5, -10):
            # numpy first rolls to a business day, and the day itself is not counted here
            roll = "backward" if n > 0 else "forward"
            yield f"{day}\t{n}\t{numpy.busday_offset(day, n, roll=roll, holidays=holidays)}"


def months():
    for day in ("2019-01-31", "2020-01-31", "2020-02-29", "2020-03-31", "2021-02-28", "2023-08-31", "2024-02-28", "2024-02-29", "2024-12-31", "2026-05-15", "2099-11-30", "2100-02-28"):
        for n in (-120, -48, -13, -12, -6, -3, -1, 1, 3, 4, 6, 11, 12, 13, 24, 36, 48, 60, 96, 360):
            yield f"{day}\t{n}\t{datetime.date.fromisoformat(day) + relativedelta(months=n)}"


def day_ends():
    places = {
        "America/New_York": ["2025-03-09", "2025-11-02", "2026-01-11", "2026-07-04"],
        "America/Chicago": ["2026-03-08", "2026-11-01", "2026-02-28"],
        "America/Denver": ["2026-03-07", "2026-10-31"],
        "America/Phoenix": ["2026-03-08", "2026-12-31"],
        "America/Los_Angeles": ["2026-03-08", "2026-11-01", "2024-02-29"],
        "America/Anchorage": ["2026-03-08"],
        "Pacific/Honolulu": ["2026-03-08", "2025-12-31"],
        "America/Puerto_Rico": ["2026-06-30"],
        "Pacific/Guam": ["2026-06-30"],
        "America/St_Johns": ["2006-10-28", "2006-10-29", "2006-04-01", "2010-11-06"],  # put back from 00:01
        "America/Sao_Paulo": ["2018-11-03", "2018-02-17"],  # put forward and back at midnight
        "America/Havana": ["2026-03-07", "2026-10-31", "2026-11-01"],
        "Pacific/Apia": ["2011-12-29", "2011-12-30", "2011-12-31"],  # 30 December 2011 was left out
        "Asia/Kathmandu": ["2026-03-31"],
        "Etc/GMT+12": ["2026-03-31"],
        "Pacific/Kiritimati": ["2026-03-31"],
    }
    minute = datetime.timedelta(minutes=1)
    for place, days in places.items():
        zone = zoneinfo.ZoneInfo(place)
        for day in days:
            date = datetime.date.fromisoformat(day)
            # by looking at every minute: the one after the last that is of the day or of an earlier one
            at = datetime.datetime.combine(date, datetime.time(), datetime.timezone.utc) + datetime.timedelta(hours=40)
            while at.astimezone(zone).date() > date:
                at -= minute
            yield f"{place}\t{day}\t{(at + minute).isoformat().replace('+00:00', 'Z')}"


if __name__ == "__main__":
    write("business_days.tsv", f"A date, a number of federal business days, and the date so many later, by numpy {numpy.__version__} with the holidays of pandas {pandas.__version__}, {python}", business_days())
    write("months.tsv", f"A date, a number of months, and the date so many later, by dateutil {dateutil.__version__}, {python}", months())
    write("day_ends.tsv", f"A time zone, a date, and the instant at which that day is over there for good, by zoneinfo of {python} with the system's time zone data 2025b", day_ends())
