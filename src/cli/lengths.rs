//! Lengths on the command line: which are possible, and in which unit the answer comes.

use crate::config::bounds::Bounds;
use crate::units::{LengthUnit, Metres, parse_length};

/// A length, and the unit it was given in.
#[derive(Clone, Copy, Debug)]
pub(super) struct Given {
    pub(super) metres: Metres,
    pub(super) unit: LengthUnit,
}

/// A parser of lengths between two bounds, in metres, which keeps the unit; fathoms are answered in feet.
pub(super) fn given(
    what: &'static str,
    least: f64,
    most: f64,
) -> impl Fn(&str) -> Result<Given, String> + Clone {
    move |text| {
        let metres = within(what, least, most)(text)?;
        let feet = ["ft", "feet", "fathoms"];
        let unit = if feet.iter().any(|unit| text.trim_end().ends_with(unit)) {
            LengthUnit::Feet
        } else {
            LengthUnit::Metres
        };
        Ok(Given { metres, unit })
    }
}

/// A parser of a measure of the boat or her tackle.
pub(super) fn boat(of: Bounds) -> impl Fn(&str) -> Result<Metres, String> + Clone {
    within(of.noun, of.least, of.most)
}

/// A parser of lengths between two bounds, in metres; `what` begins the message about one that is not.
pub(super) fn within(
    what: &'static str,
    least: f64,
    most: f64,
) -> impl Fn(&str) -> Result<Metres, String> + Clone {
    move |text| {
        let length = parse_length(text).map_err(|error| error.to_string())?;
        if (least..=most).contains(&length.get()) {
            return Ok(length);
        }
        let feet = |metres: f64| {
            let feet = Metres::of(metres).feet();
            if feet.abs() < 10.0 {
                (feet * 10.0).round() / 10.0
            } else {
                feet.round()
            }
        };
        Err(format!(
            "{what} lies between {least} m and {most} m ({} ft and {} ft)",
            feet(least),
            feet(most)
        ))
    }
}

/// Parses a height of the tide above chart datum.
pub(super) fn tide(text: &str) -> Result<Metres, String> {
    within("a height of the tide", -5.0, 20.0)(text)
}
