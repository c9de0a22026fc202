//! Lengths on the command line: which are possible, and in which unit the answer comes.

use crate::units::{LengthUnit, Metres, parse_length};

/// A length, and the unit it was given in.
#[derive(Clone, Copy, Debug)]
pub(super) struct Given {
    pub(super) metres: Metres,
    pub(super) unit: LengthUnit,
}

/// Parses a length between two bounds; fathoms are answered in feet.
pub(super) fn given(text: &str, what: &str, least: f64, most: f64) -> Result<Given, String> {
    let metres = within(text, what, least, most)?;
    let feet = ["ft", "feet", "fathoms"];
    let unit = if feet.iter().any(|unit| text.trim_end().ends_with(unit)) {
        LengthUnit::Feet
    } else {
        LengthUnit::Metres
    };
    Ok(Given { metres, unit })
}

/// Parses a length between two bounds, in metres.
pub(super) fn within(text: &str, what: &str, least: f64, most: f64) -> Result<Metres, String> {
    let length = parse_length(text).map_err(|error| error.to_string())?;
    if (least..=most).contains(&length.get()) {
        return Ok(length);
    }
    let feet = |metres: f64| Metres::of(metres).feet().round();
    Err(format!(
        "{what} lies between {least} m and {most} m ({} ft and {} ft)",
        feet(least),
        feet(most)
    ))
}

/// Parses a height of the tide above chart datum.
pub(super) fn tide(text: &str) -> Result<Metres, String> {
    within(text, "a height of the tide", -5.0, 20.0)
}
