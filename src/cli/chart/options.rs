//! The options of `windrode chart`.

use std::path::PathBuf;

use clap::{Args, Subcommand};

use crate::chart::codes::Datum;
use crate::cli::InLanguage;
use crate::cli::lengths::{self, Given, boat, given, within};
use crate::config::bounds;
use crate::geodesy::Position;
use crate::speech::{Language, Wording};
use crate::time::Timestamp;
use crate::units::{Bearing, Metres};

#[derive(Debug, Subcommand)]
pub(crate) enum ChartOrder {
    /// Keep a chart aboard.
    ///
    /// Takes official cells (S-57, `.000` with their updates beside them), a folder or an exchange set of
    /// them, or GeoJSON with S-57 classes and attributes. Cells are read by the programs `ogrinfo` and
    /// `ogr2ogr` of Debian's gdal-bin; install it with: sudo apt-get install gdal-bin. A cell that is kept
    /// already is replaced.
    Add(AddOptions),
    /// The charts that are kept.
    List {
        /// As JSON.
        #[arg(long)]
        json: bool,
        #[command(flatten)]
        language: InLanguage,
    },
    /// Remove a chart.
    Remove {
        /// Its name, as `list` gives it.
        name: String,
        #[command(flatten)]
        language: InLanguage,
    },
    /// Has she room to swing there?
    ///
    /// Holds a circle, or a sector of it, against the charts: the least depth at the lowest water, the nearest
    /// danger, what is too shoal, cables, pipes and restricted areas, how good the survey is, and what no chart
    /// covers. A danger of unknown depth counts as dangerous, a place without a chart is never taken for deep.
    Clear(Box<ClearOptions>),
    /// Remove soundings of the boat's own that are wrong.
    ///
    /// All of them, or those taken about a place: after a wrong transducer offset, tide station or clock, or where a fish or weed
    /// was sounded. A running daemon notices within seconds and starts again there; what it sounded in the last half minute may be kept
    /// after that. Nothing is asked, and nothing brings them back.
    ForgetSoundings(ForgetOptions),
}

impl ChartOrder {
    /// The language that is asked for.
    pub(super) fn language(&self) -> Option<Language> {
        let asked = match self {
            Self::Add(options) => options.language,
            Self::List { language, .. } | Self::Remove { language, .. } => *language,
            Self::Clear(options) => options.language,
            Self::ForgetSoundings(options) => options.language,
        };
        asked.language
    }
}

#[derive(Debug, Args)]
pub(crate) struct AddOptions {
    /// A cell, a folder, an exchange set, or GeoJSON.
    pub(super) path: PathBuf,
    /// A name for GeoJSON, if not that of its file or folder.
    #[arg(long)]
    pub(super) name: Option<String>,
    /// The scale of GeoJSON, such as 20000 for 1:20 000. Without it every other chart counts before it.
    #[arg(long, value_name = "NUMBER", value_parser = clap::value_parser!(u32).range(500..=20_000_000))]
    pub(super) scale: Option<u32>,
    /// What depths of GeoJSON are measured from, such as "lowest astronomical tide" or LAT.
    #[arg(long, value_name = "LEVEL", value_parser = datum)]
    pub(super) datum: Option<Datum>,
    #[command(flatten)]
    language: InLanguage,
}

#[derive(Debug, Args)]
pub(crate) struct ForgetOptions {
    /// Only those about this place, such as 59.8539,23.26 or "59°51.234'N 23°15.6'E".
    #[arg(
        long,
        value_name = "LAT,LON",
        allow_hyphen_values = true,
        requires = "within"
    )]
    pub(super) position: Option<Position>,
    /// Up to this far from there.
    #[arg(long, value_name = "LENGTH", value_parser = within("a distance", 1.0, 100_000.0), requires = "position")]
    pub(super) within: Option<Metres>,
    #[command(flatten)]
    language: InLanguage,
}

#[derive(Debug, Args)]
pub(crate) struct ClearOptions {
    /// The middle of the circle, such as 59.8539,23.26 or "59°51.234'N 23°15.6'E".
    #[arg(value_name = "LAT,LON", allow_hyphen_values = true)]
    pub(super) position: Position,
    /// How far the boat swings, all of her, such as 45m or 150ft; answers come in metres or feet as this one.
    #[arg(long, value_name = "LENGTH", value_parser = given("a radius", 1.0, 2000.0))]
    pub(super) radius: Given,
    /// Surface to the lowest point of the keel, if not as configured.
    #[arg(long, value_name = "LENGTH", value_parser = boat(bounds::DRAUGHT))]
    pub(super) draught: Option<Metres>,
    /// Water to be left under the keel, if not as configured.
    #[arg(long, value_name = "LENGTH", value_parser = boat(bounds::KEEL_MARGIN))]
    pub(super) margin: Option<Metres>,
    /// Lowest tide of the stay, above chart datum.
    #[arg(long, value_name = "LENGTH", value_parser = lengths::tide, allow_hyphen_values = true)]
    pub(super) low_water: Option<Metres>,
    /// Height of the tide now, above chart datum: tells what grounds her now from what does so later.
    #[arg(long, value_name = "LENGTH", value_parser = lengths::tide, allow_hyphen_values = true, requires = "low_water")]
    pub(super) tide: Option<Metres>,
    /// At this tide station, by its id or name; its prediction is taken for the stay.
    #[arg(long, value_name = "ID", conflicts_with_all = ["low_water", "tide"])]
    pub(super) station: Option<String>,
    /// The end of the stay, UTC; noon tomorrow where a station predicts the tide.
    #[arg(long, value_name = "TIME")]
    pub(super) until: Option<Timestamp>,
    /// She lies only in a sector: it begins at this bearing from the middle, true, and runs clockwise.
    #[arg(long, value_name = "BEARING", value_parser = bearing, requires = "to")]
    pub(super) from: Option<Bearing>,
    /// The sector ends at this bearing.
    #[arg(long, value_name = "BEARING", value_parser = bearing, requires = "from")]
    pub(super) to: Option<Bearing>,
    /// As JSON, in SI units.
    #[arg(long)]
    pub(super) json: bool,
    #[command(flatten)]
    language: InLanguage,
}

/// Parses `270`, `270°` or `270deg`.
fn bearing(text: &str) -> Result<Bearing, String> {
    let number = text
        .trim()
        .trim_end_matches("deg")
        .trim_end_matches('°')
        .trim();
    match number.parse::<f64>() {
        Ok(degrees) if (0.0..=360.0).contains(&degrees) => Ok(Bearing::from_degrees(degrees)),
        _ => Err("a bearing lies between 0 and 360 degrees, such as 270 or 270°".to_owned()),
    }
}

/// Parses the standard's words, or the usual abbreviation.
fn datum(text: &str) -> Result<Datum, String> {
    let short = [
        ("LAT", 23),
        ("MLLW", 12),
        ("MLWS", 1),
        ("MLW", 5),
        ("MSL", 3),
        ("ISLW", 8),
    ];
    let short = short
        .iter()
        .find(|(name, _)| text.eq_ignore_ascii_case(name))
        .map(|(_, code)| *code);
    let say = Wording::default();
    let long = || {
        Datum::ALL
            .iter()
            .map(|(code, _)| *code)
            .find(|code| text.eq_ignore_ascii_case(&Datum(*code).told().words(&say)))
    };
    short.or_else(long).map(Datum).ok_or_else(|| {
        format!("no such level; write it as S-57 does, such as \"lowest astronomical tide\", or one of {}", "LAT, MLLW, MLWS, MLW, MSL, ISLW")
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bearings_and_levels_are_read_as_people_write_them() {
        for text in ["270", "270°", "270deg", " 270 ° "] {
            assert!(
                (bearing(text).unwrap().degrees() - 270.0).abs() < 1e-9,
                "{text}"
            );
        }
        for text in ["", "361", "-1", "west", "nan"] {
            assert!(bearing(text).is_err(), "{text}");
        }
        assert_eq!(datum("lat"), Ok(Datum(23)));
        assert_eq!(datum("Mean lower low water"), Ok(Datum(12)));
        assert!(datum("keel").is_err());
    }
}
