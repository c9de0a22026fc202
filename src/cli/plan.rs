//! `windrode plan`: how much rode, how far she swings, and the wind's load on the tackle.
//!
//! The command line wins over the configuration. [`inputs`] is where live data comes in: with known depth,
//! tide, wind and rode out, a caller fills in the same [`PlanInputs`].

mod around;
mod berth;
pub(super) mod live;
pub(super) mod page;
mod search;

use clap::{Args, ValueEnum};
use serde::Serialize;

use self::berth::Berth;
use super::lengths::{self, Given, boat, given, within};
use super::out::{self, Failure, code};
use super::status::wrapped_to;
use super::{InLanguage, Windrode, load_in};
use crate::boat::{Boat, BoatFigures};
use crate::config::{Config, bounds};
use crate::daemon::Figures;
use crate::geodesy::Position;
use crate::speech::Language;
use crate::speech::plans::{Assumed, Margin};
use crate::tackle::plan::{Holding, Plan, PlanError, PlanInputs, Scopes, plan as make};
use crate::tackle::rode::{Chain, Rope};
use crate::tackle::strength::GroundTackle;
use crate::tackle::water::{Below, Missing, Sounding, Tide, TideSource};
use crate::time::Timestamp;
use crate::units::{Kilograms, Metres, Speed, parse_mass, parse_speed};

/// The options of the plan. Everything about boat and tackle may also be in the configuration.
#[derive(Debug, Args)]
pub(super) struct PlanOptions {
    /// Depth at the berth, such as 7m or 23ft. Without it, depth, tide, wind and boat come from the running
    /// daemon, as they are now.
    #[arg(long, value_name = "LENGTH", value_parser = given("a depth to anchor in", 0.0, 200.0))]
    depth: Option<Given>,
    /// Plan for this place, such as 59.8539,23.26: the depth comes from the charts aboard unless --depth is
    /// given, and the circle is checked on them.
    #[arg(long, value_name = "LAT,LON", allow_hyphen_values = true)]
    berth: Option<Position>,
    /// Where that depth is measured from.
    #[arg(long, value_enum, default_value_t = From::Surface)]
    below: From,
    /// How much the water still rises during the stay.
    #[arg(long, value_name = "LENGTH", value_parser = tide, conflicts_with_all = ["tide", "high_water", "low_water"])]
    rise: Option<Metres>,
    /// How much the water still falls during the stay.
    #[arg(long, value_name = "LENGTH", value_parser = tide, conflicts_with_all = ["tide", "high_water", "low_water"])]
    fall: Option<Metres>,
    /// Height of the tide now, above chart datum.
    #[arg(long, value_name = "LENGTH", value_parser = lengths::tide, allow_hyphen_values = true, requires_all = ["high_water", "low_water"])]
    tide: Option<Metres>,
    /// Highest tide of the stay, above chart datum.
    #[arg(long, value_name = "LENGTH", value_parser = lengths::tide, allow_hyphen_values = true, requires = "tide")]
    high_water: Option<Metres>,
    /// Lowest tide of the stay, above chart datum.
    #[arg(long, value_name = "LENGTH", value_parser = lengths::tide, allow_hyphen_values = true, requires = "tide")]
    low_water: Option<Metres>,
    /// Use the prediction for this tide station, by its id or name; by default `water.station`.
    #[arg(long, value_name = "ID", conflicts_with_all = ["rise", "fall", "tide"])]
    station: Option<String>,
    /// The end of the stay, UTC; noon tomorrow where a station predicts the tide.
    #[arg(long, value_name = "TIME")]
    until: Option<Timestamp>,
    /// Strongest mean wind expected, such as 25kn.
    #[arg(long, value_name = "SPEED", value_parser = wind)]
    wind: Option<Speed>,
    /// What is known about the holding.
    #[arg(long, value_enum, default_value_t = Ground::Unknown)]
    holding: Ground,
    /// Plan with this scope. Otherwise 5:1 in good holding, 7:1 in holding that is not good or unknown,
    /// in a strong wind and with rope at the roller, and 10:1 in a storm.
    #[arg(long, value_name = "NUMBER", value_parser = scope)]
    scope: Option<f64>,
    /// Rode that is out already, from the bow roller: shows its scope, reach and circle, and how much is missing.
    #[arg(long, value_name = "LENGTH", value_parser = boat(bounds::RODE))]
    rode_out: Option<Metres>,
    #[command(flatten)]
    search: search::SearchOptions,
    #[command(flatten)]
    boat: BoatOptions,
    #[command(flatten)]
    tackle: TackleOptions,
    /// As JSON, in SI units.
    #[arg(long)]
    json: bool,
    #[command(flatten)]
    pub(super) language: InLanguage,
}

/// The boat's figures that the configuration does not have, or that are to win over it.
#[derive(Debug, Args)]
struct BoatOptions {
    /// Bow roller above the water.
    #[arg(long, value_name = "LENGTH", value_parser = boat(bounds::ROLLER_HEIGHT))]
    roller: Option<Metres>,
    /// Surface to the lowest point of the keel.
    #[arg(long, value_name = "LENGTH", value_parser = boat(bounds::DRAUGHT))]
    draught: Option<Metres>,
    /// Depth transducer below the surface.
    #[arg(long, value_name = "LENGTH", value_parser = boat(bounds::TRANSDUCER_DEPTH))]
    transducer: Option<Metres>,
    /// Length over all.
    #[arg(long, value_name = "LENGTH", value_parser = boat(bounds::LENGTH_OVER_ALL))]
    length: Option<Metres>,
    /// Greatest beam.
    #[arg(long, value_name = "LENGTH", value_parser = boat(bounds::BEAM))]
    beam: Option<Metres>,
    /// Deck above the water, amidships.
    #[arg(long, value_name = "LENGTH", value_parser = boat(bounds::FREEBOARD))]
    freeboard: Option<Metres>,
    /// Masthead above the water.
    #[arg(long, value_name = "LENGTH", value_parser = boat(bounds::MAST_HEIGHT))]
    mast: Option<Metres>,
}

/// The ground tackle, in the same way.
#[derive(Debug, Args)]
struct TackleOptions {
    /// All the rode aboard.
    #[arg(long, value_name = "LENGTH", value_parser = boat(bounds::RODE))]
    aboard: Option<Metres>,
    /// The chain, such as "8 mm G40" or "5/16 in G43".
    #[arg(long, value_name = "CHAIN")]
    chain: Option<Chain>,
    /// How much of the rode is chain, where there is rope too.
    #[arg(long, value_name = "LENGTH", value_parser = boat(bounds::CHAIN_LENGTH))]
    chain_length: Option<Metres>,
    /// The rope above the chain, such as "14 mm nylon".
    #[arg(long, value_name = "ROPE")]
    rope: Option<Rope>,
    /// The snubber, such as "12 mm nylon".
    #[arg(long, value_name = "ROPE")]
    snubber: Option<Rope>,
    /// From the bow to the snubber's hook.
    #[arg(long, value_name = "LENGTH", value_parser = boat(bounds::SNUBBER_LENGTH))]
    snubber_length: Option<Metres>,
    /// Distance between the marks on the rode; the rode is rounded up to it.
    #[arg(long, value_name = "LENGTH", value_parser = boat(bounds::MARKS))]
    marks: Option<Metres>,
    /// Mass of the anchor, such as 20kg.
    #[arg(long, value_name = "MASS", value_parser = mass)]
    anchor: Option<Kilograms>,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum From {
    /// The depth of water.
    Surface,
    /// As the sounder shows it; needs the transducer's depth.
    Transducer,
    /// Below the keel; needs the draught.
    Keel,
    /// A depth on the chart, below chart datum.
    Datum,
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Ground {
    /// Known to be good.
    Good,
    /// Not known.
    Unknown,
    /// Known to be poor.
    Poor,
}

/// Makes the plan and prints it.
pub(super) fn plan(parsed: &Windrode, options: &PlanOptions) -> Result<(), Failure> {
    if let Some(at) = options.search.search {
        return search::search(parsed, options, at);
    }
    let config = load_in(&parsed.config, options.language.language)?;
    let berth = options
        .berth
        .map(|place| Berth::at(&config, place))
        .transpose()?;
    let charted = berth.as_ref().and_then(Berth::sounding);
    let live = match (options.depth, charted) {
        (Some(_), _) => None,
        // The chart gives the depth; boat and tide of a running daemon are also valid there.
        (None, Some(_)) => live::figures(parsed).ok().map(|live| Figures {
            depth: None,
            wind: None,
            rode_out: None,
            ..live
        }),
        (None, None) => Some(live::figures(parsed)?),
    };
    let sounding = match charted.filter(|_| options.depth.is_none()) {
        Some(charted) => charted,
        None => sounding(options, live.as_ref())?,
    };
    let inputs = inputs(&config, options, live.as_ref(), sounding)?;
    let say = inputs.wording();
    let plan = make(&inputs).map_err(|error| Failure::new(code::USAGE, explained(error)))?;
    let berth = berth.map(|berth| berth.told(&plan, &inputs)).transpose()?;
    if options.json {
        let plan = &plan;
        let text = serde_json::to_string_pretty(&WithBerth { plan, berth })
            .map_err(|error| Failure::new(code::SOFTWARE, error))?;
        return out::line(&text);
    }
    let mut lines = Vec::new();
    if let Some(berth) = &berth {
        lines.extend(wrapped_to("", "", &berth.heading()));
        lines.push(String::new());
    }
    lines.extend(page::page(&plan, &inputs));
    if let Some(berth) = &berth {
        lines.extend([String::new(), Margin::OnTheChart.words(&say)]);
        lines.extend(berth.page());
    }
    for line in lines {
        out::line(&line)?;
    }
    Ok(())
}

/// The plan, and the charts' data if a berth was given.
#[derive(Serialize)]
struct WithBerth<'a> {
    #[serde(flatten)]
    plan: &'a Plan,
    #[serde(skip_serializing_if = "Option::is_none")]
    berth: Option<berth::Told>,
}

/// The inputs of the plan: the command line over the configuration.
fn inputs(
    config: &Config,
    options: &PlanOptions,
    live: Option<&Figures>,
    sounding: Sounding,
) -> Result<PlanInputs, Failure> {
    let (boat, tackle) = (&options.boat, &options.tackle);
    let written = live.map_or(config.watch.boat, |live| live.boat);
    let say = options
        .depth
        .map_or(config.watch.wording.lengths, |depth| depth.unit);
    // Data for programs is in English.
    let language = if options.json || options.search.geojson {
        Language::English
    } else {
        config.watch.wording.language
    };
    let (tide, until) = match typed_tide(options)? {
        Some(tide) => (Some(tide), options.until),
        None => match live::predicted(config, options.station.as_deref(), options.until, language)?
        {
            Some((tide, until)) => (Some(tide), Some(until)),
            None => (live.and_then(|live| live.tide.clone()), options.until),
        },
    };
    if sounding.below == Below::Datum && tide.as_ref().is_some_and(|tide| !tide.above_datum) {
        return Err(Failure::new(
            code::USAGE,
            "a depth of the chart needs the height of the tide: give `--tide`, `--high-water` and \
             `--low-water` instead of `--rise` and `--fall`",
        ));
    }
    let wind = options.wind.or(live.and_then(|live| live.wind));
    let mut heard = Vec::new();
    if live.is_some_and(|live| live.depth.is_some()) {
        heard.push(Assumed::Sounder);
        if let (None, Some(wind)) = (options.wind, wind) {
            heard.push(Assumed::WindNow { wind });
        }
    }
    let figures = BoatFigures {
        length: boat.length.or(written.length),
        beam: boat.beam.or(written.beam),
        draught: boat.draught.or(written.draught),
        roller_height: boat.roller.or(written.roller_height),
        transducer_depth: boat.transducer.or(written.transducer_depth),
        freeboard: boat.freeboard.or(written.freeboard),
        mast_height: boat.mast.or(written.mast_height),
        ..written
    };
    let configured = config.ground_tackle();
    let tackle = GroundTackle {
        chain: tackle.chain.or(configured.chain),
        chain_length: tackle.chain_length.or(configured.chain_length),
        rope: tackle.rope.or(configured.rope),
        aboard: tackle.aboard.or(configured.aboard),
        snubber: tackle.snubber.or(configured.snubber),
        snubber_length: tackle.snubber_length.or(configured.snubber_length),
        marks: tackle.marks.or(configured.marks),
        anchor: tackle.anchor.or(configured.anchor),
    };
    if let Some((chain, all)) = tackle.chain_length.zip(tackle.aboard)
        && chain > all
    {
        return Err(Failure::new(
            code::USAGE,
            format!(
                "`--chain-length` {} is more than the rode aboard, {}; `--aboard` is chain and rope \
                 together",
                say.exact(chain),
                say.exact(all)
            ),
        ));
    }
    Ok(PlanInputs {
        sounding,
        tide,
        until,
        boat: Boat::new(figures),
        tackle,
        stretch: config.watch.stretch,
        scopes: Scopes {
            asked: options.scope,
            ..config.scopes()
        },
        holding: match options.holding {
            Ground::Good => Holding::Good,
            Ground::Unknown => Holding::Unknown,
            Ground::Poor => Holding::Poor,
        },
        wind,
        rode_out: options.rode_out.or(live.and_then(|live| live.rode_out)),
        keel_margin: config.watch.keel_margin,
        say,
        language,
        heard,
    })
}

fn sounding(options: &PlanOptions, live: Option<&Figures>) -> Result<Sounding, Failure> {
    if let Some(depth) = options.depth {
        return Ok(Sounding {
            depth: depth.metres,
            below: match options.below {
                From::Surface => Below::Surface,
                From::Transducer => Below::Transducer,
                From::Keel => Below::Keel,
                From::Datum => Below::Datum,
            },
        });
    }
    let depth = live.and_then(|live| live.depth).ok_or_else(|| {
        Failure::new(
            code::NOT_DONE,
            "the daemon hears no depth of water now; give it as `--depth`, such as `--depth 7m`",
        )
    })?;
    Ok(Sounding {
        depth,
        below: Below::Surface,
    })
}

fn typed_tide(options: &PlanOptions) -> Result<Option<Tide>, Failure> {
    if let (Some(now), Some(high), Some(low)) =
        (options.tide, options.high_water, options.low_water)
    {
        if high < low {
            return Err(Failure::new(
                code::USAGE,
                "`--high-water` is lower than `--low-water`; both are heights above chart datum",
            ));
        }
        return Ok(Tide::of_heights(now, [high, low], TideSource::Typed));
    }
    if options.rise.is_none() && options.fall.is_none() {
        return Ok(None);
    }
    let (rise, fall) = (
        options.rise.unwrap_or_default(),
        options.fall.unwrap_or_default(),
    );
    if matches!(options.below, From::Datum) {
        return Err(Failure::new(
            code::USAGE,
            "`--below datum` needs the height of the tide: give `--tide`, `--high-water` and \
             `--low-water` instead of `--rise` and `--fall`",
        ));
    }
    Ok(Some(Tide::rise_and_fall(rise, fall)))
}

/// The error with the option that fixes it.
fn explained(error: PlanError) -> String {
    match error {
        PlanError::Depth(Missing::Draught) => {
            "`--below keel` needs the draught: give `--draught`, such as `--draught 1.9m`, or \
             `boat.draught` in the configuration"
        }
        PlanError::Depth(Missing::TransducerDepth) => {
            "`--below transducer` needs the transducer's depth: give `--transducer`, such as \
             `--transducer 0.5m`, or `boat.transducer_depth` in the configuration"
        }
        PlanError::ChainLength => {
            "a rode of chain and rope needs the length of the chain: give `--chain-length`, such as \
             `--chain-length 30m`"
        }
        PlanError::NoHeight => {
            "`--depth` and `--roller` make no height from the bottom to the roller; one of them must be \
             more than zero"
        }
    }
    .to_owned()
}

fn tide(text: &str) -> Result<Metres, String> {
    within("a rise or fall of the tide", 0.0, 20.0)(text)
}

pub(super) fn wind(text: &str) -> Result<Speed, String> {
    let speed = parse_speed(text).map_err(|error| error.to_string())?;
    if !(0.0..=100.0).contains(&speed.knots()) {
        return Err("a wind to plan for lies between 0 kn and 100 kn".to_owned());
    }
    Ok(speed)
}

pub(super) fn scope(text: &str) -> Result<f64, String> {
    let text = text.trim().trim_end_matches(":1");
    let [least, most] = bounds::SCOPE;
    let scope = text
        .parse()
        .ok()
        .filter(|scope| (least..=most).contains(scope));
    scope.ok_or_else(|| {
        format!("a scope lies between {least} and {most}, such as `5` for five to one")
    })
}

fn mass(text: &str) -> Result<Kilograms, String> {
    let mass = parse_mass(text).map_err(|error| error.to_string())?;
    let [least, most] = bounds::ANCHOR;
    if (least..=most).contains(&mass.get()) {
        return Ok(mass);
    }
    let pounds = |kilograms: f64| Kilograms::of(kilograms).pounds().round();
    Err(format!(
        "an anchor's mass lies between {least} kg and {most} kg ({} lb and {} lb)",
        pounds(least),
        pounds(most)
    ))
}
