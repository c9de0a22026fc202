//! The running daemon's data for a plan, and the tide that a station predicts.

use serde_json::Value;

use crate::cli::out::{Failure, code};
use crate::cli::{Windrode, ask};
use crate::config::Config;
use crate::daemon::Figures;
use crate::io::clock::Clock;
use crate::speech::{Language, Wording};
use crate::tackle::water::{Tide, noon_tomorrow};
use crate::tide::Forecast;
use crate::tide::stations::Catalogue;
use crate::time::Timestamp;
use crate::watch::water::station_tide;

/// Asks the daemon for its current data.
pub(super) fn figures(parsed: &Windrode) -> Result<Figures, Failure> {
    let data = ask::put(parsed, "figures", Value::Null).map_err(|failure| {
        let message = format!(
            "without `--depth` a plan takes the depth from the running daemon: {}",
            failure.message
        );
        Failure { message, ..failure }
    })?;
    ask::understood(&data)
}

/// The tide at a station from now until the end of the stay.
pub(in crate::cli) fn predicted(
    config: &Config,
    station: Option<&str>,
    until: Option<Timestamp>,
    language: Language,
) -> Result<Option<(Tide, Timestamp)>, Failure> {
    let forecast = match (station, &config.watch.forecast) {
        (Some(wanted), _) => find(wanted)?,
        (None, Some(configured)) => configured.clone(),
        (None, None) => return Ok(None),
    };
    let now = Clock::system().now().utc;
    let until = match (until, config.watch.stay) {
        (Some(until), _) => until,
        (None, Some(stay)) => now.plus(stay),
        (None, None) => noon_tomorrow(now, config.zone().ahead_of_utc(now)),
    };
    if until <= now {
        return Err(Failure::new(
            code::USAGE,
            format!("`--until` = `{until}` is past; give a time to come, UTC"),
        ));
    }
    if until > now.plus(LONGEST) {
        return Err(Failure::new(
            code::USAGE,
            format!("`--until` = `{until}` is more than a year away; a stay is shorter"),
        ));
    }
    let stay = forecast.stay(now, until);
    let say = Wording {
        language,
        ..config.wording()
    };
    let tide = station_tide(&forecast, now, until, &stay, &say);
    Ok(Some((tide, until)))
}

fn find(wanted: &str) -> Result<Forecast, Failure> {
    let catalogue = Catalogue::bundled().map_err(|error| Failure::new(code::SOFTWARE, error))?;
    let station = catalogue
        .find(wanted)
        .map_err(|error| Failure::new(code::USAGE, format!("`--station`: {error}")))?;
    Forecast::new(&catalogue, station).ok_or_else(|| {
        Failure::new(
            code::SOFTWARE,
            format!("`{wanted}` has no standard station"),
        )
    })
}

const LONGEST: std::time::Duration = std::time::Duration::from_secs(366 * 86_400);
