//! Days and moments as people write them, in the boat's time zone.

use jiff::ToSpan;
use jiff::civil::{Date, Time};
use jiff::tz::TimeZone;

use crate::speech::Wording;
use crate::speech::tides::{Calendar, TideZone};
use crate::time::Timestamp;

/// A window of time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Window {
    /// The first moment.
    pub(super) from: Timestamp,
    /// The first moment after the window.
    pub(super) to: Timestamp,
}

/// Why a window is refused.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub(super) enum DateError {
    /// The text is not a day or a moment.
    #[error(
        "`{option} {text}` is no day; write `2026-06-01`, `1 Jun 2026`, `today`, `tomorrow`, or a moment such as \
         `2026-06-01T18:00` (boat's time) or `2026-06-01T18:00Z`"
    )]
    Unreadable { option: &'static str, text: String },
    /// The order of day and month is ambiguous.
    #[error("`{option} {text}` can be read two ways; write `2026-06-01` or `1 Jun 2026`")]
    Ambiguous { option: &'static str, text: String },
    /// The date is too far away.
    #[error(
        "`{option} {text}` lies in the year {year}; tides are predicted for the years {FIRST_YEAR} to {LAST_YEAR}"
    )]
    Year {
        option: &'static str,
        text: String,
        year: i16,
    },
    /// The end is before the beginning.
    #[error("`--to {to}` is not after `--from {from}`")]
    Backwards { from: String, to: String },
    /// The window is longer than anybody reads.
    #[error("from `{from}` to `{to}` are {days} days; {MOST_DAYS} at a time are the most")]
    Long { from: String, to: String, days: i64 },
}

enum Written {
    Day(Date),
    Moment(Timestamp),
}

/// The window from today, or from the given day, over two days or to the end of the given last day.
pub(super) fn window(
    from: Option<&str>,
    to: Option<&str>,
    now: Timestamp,
    zone: &TimeZone,
) -> Result<Window, DateError> {
    let from_text = from.unwrap_or("today");
    let first = parse("--from", from_text, now, zone)?;
    let start = match first {
        Written::Day(day) => midnight(day, zone),
        Written::Moment(moment) => moment,
    };
    let end = match to {
        None => match first {
            Written::Day(day) => midnight(day.saturating_add(2.days()), zone),
            Written::Moment(moment) => Timestamp::from_millis(moment.as_millis() + 2 * DAY_MS),
        },
        Some(text) => match parse("--to", text, now, zone)? {
            Written::Day(day) => midnight(day.saturating_add(1.day()), zone),
            Written::Moment(moment) => moment,
        },
    };
    let to_text = to.unwrap_or("two days on").to_owned();
    let from_text = from_text.to_owned();
    if end <= start {
        return Err(DateError::Backwards {
            from: from_text,
            to: to_text,
        });
    }
    let days = end.millis_since(start) / DAY_MS;
    if days > MOST_DAYS {
        return Err(DateError::Long {
            from: from_text,
            to: to_text,
            days,
        });
    }
    Ok(Window {
        from: start,
        to: end,
    })
}

fn parse(
    option: &'static str,
    text: &str,
    now: Timestamp,
    zone: &TimeZone,
) -> Result<Written, DateError> {
    let trimmed = text.trim();
    let unreadable = || DateError::Unreadable {
        option,
        text: trimmed.to_owned(),
    };
    let today = zone.to_datetime(jiff_of(now)).date();
    let written = match trimmed.to_ascii_lowercase().as_str() {
        "now" => Written::Moment(now),
        "today" => Written::Day(today),
        "tomorrow" => Written::Day(today.saturating_add(1.day())),
        "yesterday" => Written::Day(today.saturating_sub(1.day())),
        lower => {
            if let Some(day) = day(lower, today.year()) {
                Written::Day(day.map_err(|NoSuchDay| unreadable())?)
            } else if is_slashed(lower) {
                return Err(DateError::Ambiguous {
                    option,
                    text: trimmed.to_owned(),
                });
            } else {
                Written::Moment(moment(trimmed, zone).ok_or_else(unreadable)?)
            }
        }
    };
    let year = match written {
        Written::Day(day) => day.year(),
        Written::Moment(moment) => zone.to_datetime(jiff_of(moment)).year(),
    };
    if !(FIRST_YEAR..=LAST_YEAR).contains(&year) {
        return Err(DateError::Year {
            option,
            text: trimmed.to_owned(),
            year,
        });
    }
    Ok(written)
}

/// The 30th of February.
struct NoSuchDay;

/// Parses `2026-06-01`, `2026-6-1`, `1.6.2026`, `1 jun 2026`, `1 june`, `june 1`. Returns `None` if the
/// text does not have the form of a day, and an error if there is no such day.
fn day(text: &str, this_year: i16) -> Option<Result<Date, NoSuchDay>> {
    let numbers = |mark: char| -> Option<Vec<i16>> {
        let parts: Vec<i16> = text
            .split(mark)
            .map_while(|part| part.parse().ok())
            .collect();
        (parts.len() == 3 && text.split(mark).count() == 3).then_some(parts)
    };
    let date = |year: i16, month: i16, day: i16| {
        let month = i8::try_from(month).map_err(|_| NoSuchDay)?;
        let day = i8::try_from(day).map_err(|_| NoSuchDay)?;
        Date::new(year, month, day).map_err(|_| NoSuchDay)
    };
    if let Some(parts) = numbers('-') {
        return Some(date(parts[0], parts[1], parts[2]));
    }
    if let Some(parts) = numbers('.') {
        return Some(date(parts[2], parts[1], parts[0]));
    }
    let words: Vec<&str> = text
        .split([' ', '-', ','])
        .filter(|word| !word.is_empty())
        .collect();
    let month_of = |word: &str| -> Option<i16> {
        let place = MONTHS
            .iter()
            .position(|month| word.len() >= 3 && month.starts_with(word))?;
        i16::try_from(place + 1).ok()
    };
    let (first, second, year) = match *words.as_slice() {
        [first, second] => (first, second, this_year),
        [first, second, year] => (first, second, year.parse().ok()?),
        _ => return None,
    };
    let (number, month) = match (month_of(first), month_of(second)) {
        (None, Some(month)) => (first, month),
        (Some(month), None) => (second, month),
        _ => return None,
    };
    Some(date(year, month, number.parse().ok()?))
}

fn is_slashed(text: &str) -> bool {
    text.split('/').count() == 3 && text.chars().all(|c| c.is_ascii_digit() || c == '/')
}

/// Parses a moment: with an offset or `Z` as written, without one in the boat's time.
fn moment(text: &str, zone: &TimeZone) -> Option<Timestamp> {
    if let Ok(moment) = text.parse::<Timestamp>() {
        return Some(moment);
    }
    // `2026-06-01T18:00Z` has no seconds.
    if let Some(bare) = text.strip_suffix(['Z', 'z'])
        && let Ok(there) = bare.trim_end().parse::<jiff::civil::DateTime>()
    {
        return TimeZone::UTC.to_timestamp(there).ok().map(ours);
    }
    let there = text.parse::<jiff::civil::DateTime>().ok()?;
    zone.to_timestamp(there).ok().map(ours)
}

fn midnight(day: Date, zone: &TimeZone) -> Timestamp {
    zone.to_timestamp(day.to_datetime(Time::midnight()))
        .map_or(Timestamp::EPOCH, ours)
}

/// Day and clock in the zone: `Mon 1 Jun 2026`, `08:20`.
pub(super) fn written(time: Timestamp, zone: &TimeZone, say: &Wording) -> (String, String) {
    // Rounded to the nearest minute, as in printed tables.
    let rounded = Timestamp::from_millis((time.as_millis() + 30_000).div_euclid(60_000) * 60_000);
    let there = zone.to_datetime(jiff_of(rounded));
    let number = |number: i8| u8::try_from(number).unwrap_or_default();
    let day = Calendar::day(
        number(there.weekday().to_monday_one_offset()).into(),
        number(there.day()).into(),
        number(there.month()).into(),
        there.year().into(),
    );
    (day.words(say), there.strftime("%H:%M").to_string())
}

/// The hour of the day, for the axis of the curve.
pub(super) fn hour(time: Timestamp, zone: &TimeZone) -> i8 {
    zone.to_datetime(jiff_of(time)).hour()
}

/// The zone of the times: UTC, or the boat's zone `Europe/Paris` (`UTC+02:00`).
pub(super) fn told(zone: &TimeZone, at: Timestamp) -> TideZone {
    let seconds = zone.to_offset(jiff_of(at)).seconds();
    if *zone == TimeZone::UTC || (seconds == 0 && zone.iana_name().is_none()) {
        return TideZone::Utc;
    }
    let sign = if seconds < 0 { '-' } else { '+' };
    let minutes = seconds.abs() / 60;
    match zone.iana_name() {
        Some("UTC" | "Etc/UTC") => TideZone::BoatsUtc,
        name => TideZone::Boats {
            zone: name.map(str::to_owned),
            offset: format!("UTC{sign}{:02}:{:02}", minutes / 60, minutes % 60),
        },
    }
}

fn jiff_of(time: Timestamp) -> jiff::Timestamp {
    jiff::Timestamp::from_millisecond(time.as_millis()).unwrap_or(jiff::Timestamp::UNIX_EPOCH)
}

fn ours(time: jiff::Timestamp) -> Timestamp {
    Timestamp::from_millis(time.as_millisecond())
}

const DAY_MS: i64 = 86_400_000;
/// The mean longitudes are accurate within this range (chosen; see `tide::astronomy`).
const FIRST_YEAR: i16 = 1000;
const LAST_YEAR: i16 = 3000;
/// Ten years.
const MOST_DAYS: i64 = 3660;
const MONTHS: [&str; 12] = [
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
];

#[cfg(test)]
mod tests {
    use super::*;

    fn now() -> Timestamp {
        "2026-06-01T22:30:00Z".parse().unwrap()
    }

    /// Two hours east, without a time zone database.
    fn zone() -> TimeZone {
        TimeZone::fixed(jiff::tz::offset(2))
    }

    fn span(from: Option<&str>, to: Option<&str>) -> String {
        match window(from, to, now(), &zone()) {
            Ok(window) => format!("{} {}", window.from, window.to),
            Err(error) => error.to_string(),
        }
    }

    #[test]
    fn days_are_the_boat_s_and_the_last_one_is_whole() {
        let june = "2026-05-31T22:00:00.000Z 2026-06-02T22:00:00.000Z";
        for (from, to) in [
            ("2026-06-01", "2026-06-02"),
            ("2026-6-1", "2.6.2026"),
            ("1 Jun 2026", "2 june"),
            ("June 1, 2026", "today"),
            (" yesterday ", "2026-06-03T00:00"),
            ("2026-05-31T22:00Z", "2026-06-02 22:00:00Z"),
        ] {
            assert_eq!(span(Some(from), Some(to)), june, "{from} {to}");
        }
        // Half past midnight on the second, in the boat's time.
        assert_eq!(
            span(None, None),
            "2026-06-01T22:00:00.000Z 2026-06-03T22:00:00.000Z"
        );
        assert_eq!(
            span(Some("now"), None),
            "2026-06-01T22:30:00.000Z 2026-06-03T22:30:00.000Z"
        );
    }

    #[test]
    fn an_invalid_day_is_refused_with_advice_on_the_form() {
        for (from, to, told) in [
            (
                "gibberish",
                None,
                "`--from gibberish` is no day; write `2026-06-01`, `1 Jun 2026`, `today`, `tomorrow`, or a moment such as \
                 `2026-06-01T18:00` (boat's time) or `2026-06-01T18:00Z`",
            ),
            (
                "01/06/2026",
                None,
                "`--from 01/06/2026` can be read two ways; write `2026-06-01` or `1 Jun 2026`",
            ),
            (
                "3500-01-01",
                None,
                "`--from 3500-01-01` lies in the year 3500; tides are predicted for the years 1000 to 3000",
            ),
            (
                "2026-06-02",
                Some("2026-06-01"),
                "`--to 2026-06-01` is not after `--from 2026-06-02`",
            ),
            (
                "2026-01-01",
                Some("2126-01-01"),
                "from `2026-01-01` to `2126-01-01` are 36525 days; 3660 at a time are the most",
            ),
        ] {
            assert_eq!(span(Some(from), to), told);
        }
        for from in [
            "2026-02-30",
            "2026-13-01",
            "31 Jun 2026",
            "",
            "2026",
            "-",
            "1 Jux 2026",
            "99999-01-01",
        ] {
            assert!(span(Some(from), None).contains("is no day"), "{from}");
        }
    }

    #[test]
    fn times_are_written_to_the_nearest_minute_in_the_zone_that_is_named() {
        let time = "2026-05-31T21:59:40Z".parse().unwrap();
        assert_eq!(
            written(time, &zone(), &Wording::default()),
            ("Mon 1 Jun 2026".to_owned(), "00:00".to_owned())
        );
        assert_eq!(told(&TimeZone::UTC, time).english(), "in UTC");
        assert_eq!(
            told(&zone(), time).english(),
            "in the boat's zone (UTC+02:00 on the first day)"
        );
    }
}
