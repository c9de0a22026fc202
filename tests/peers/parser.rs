//! What the real server (2.32.0, NMEA 0183 parser 3.20.1) makes of each sentence, and of each way an instrument
//! reports that it has lost its measurement. Sentences as in IEC 61162-1; only the paths that windrode reads are
//! compared. Some results are not what the sentence means; the watch must cope with them, and these rows document
//! them.

use serde_json::{Value, json};
use windrode::signalk::paths;

use super::Stream;
use super::nmea::Wire;
use crate::block_on;

const POSITION: &str = "navigation.position";
const COURSE: &str = "navigation.courseOverGroundTrue";
const SPEED: &str = "navigation.speedOverGround";
const METHOD: &str = "navigation.gnss.methodQuality";
const SATELLITES: &str = "navigation.gnss.satellites";
const DILUTION: &str = "navigation.gnss.horizontalDilution";
const VARIATION: &str = "navigation.magneticVariation";
const HEADING: &str = "navigation.headingTrue";
const MAGNETIC: &str = "navigation.headingMagnetic";
const WIND_SPEED: &str = "environment.wind.speedApparent";
const WIND_ANGLE: &str = "environment.wind.angleApparent";
const TRANSDUCER: &str = "environment.depth.belowTransducer";
const SURFACE: &str = "environment.depth.belowSurface";
const KEEL: &str = "environment.depth.belowKeel";
const OFFSET: &str = "environment.depth.surfaceToTransducer";
const TO_KEEL: &str = "environment.depth.transducerToKeel";
const REVOLUTIONS: &str = "propulsion.engine_1.revolutions";

/// Half a quarter turn, 7°, 30°; 0.2 kn, 14 kn, 0.4 km/h.
const NE: f64 = std::f64::consts::FRAC_PI_4;
const SEVEN: f64 = 0.122_173;
const THIRTY: f64 = std::f64::consts::FRAC_PI_6;
const CREEP: f64 = 0.102_889;
const BREEZE: f64 = 7.202_224;
const CREEP_KM: f64 = 0.111_111;

type Said = Vec<(&'static str, Value)>;

/// Sends each sentence and compares.
fn check(rows: &[(&str, Said)]) {
    let (server, mut wire) = Wire::to_server();
    let mut wrong = Vec::new();
    block_on(async {
        let query = "subscribe=self&sendCachedValues=false";
        let mut stream = Stream::connect(&server, query, None).await;
        for (number, (sentence, expected)) in rows.iter().enumerate() {
            assert!(wire.say(sentence), "the server hung up");
            // A marker sentence ends the row: everything before it belongs to the row.
            assert!(wire.say(&format!("YXMTW,{number}.0,C")));
            let made = until(&mut stream, number as f64 + 273.15).await;
            let expected: Said = expected.clone();
            let alike = made.len() == expected.len()
                && made
                    .iter()
                    .zip(&expected)
                    .all(|((path, value), (of, like))| path == of && is_alike(value, like));
            if !alike {
                wrong.push(format!(
                    "{sentence}\n  made     {made:?}\n  expected {expected:?}"
                ));
            }
        }
    });
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The values that windrode reads, up to the water's temperature.
async fn until(stream: &mut Stream, kelvin: f64) -> Vec<(String, Value)> {
    let mut made = Vec::new();
    loop {
        let frame = stream.next().await;
        for update in frame["updates"].as_array().into_iter().flatten() {
            for value in update["values"].as_array().into_iter().flatten() {
                let path = value["path"].as_str().unwrap_or_default();
                let number = value["value"].as_f64();
                if path == "environment.water.temperature" && number == Some(kelvin) {
                    return made;
                }
                if paths::find(path).is_some() && !path.is_empty() {
                    made.push((path.to_owned(), value["value"].clone()));
                }
            }
        }
    }
}

fn is_alike(one: &Value, other: &Value) -> bool {
    match (one.as_f64(), other.as_f64()) {
        (Some(one), Some(other)) => (one - other).abs() < 1e-5,
        _ => one == other,
    }
}

fn here() -> Value {
    json!({"latitude": 59.8539, "longitude": 23.26})
}

#[test]
fn of_a_receiver() {
    let rmc = |speed: Value, course: Value, variation: Value, place: Value| -> Said {
        vec![
            (POSITION, place),
            (COURSE, course),
            (SPEED, speed),
            (VARIATION, variation),
        ]
    };
    let gga = |method: &str, satellites: u32, dilution: f64| -> Said {
        vec![
            (POSITION, here()),
            (METHOD, json!(method)),
            (SATELLITES, json!(satellites)),
            (DILUTION, json!(dilution)),
        ]
    };
    let null = || Value::Null;
    let vtg = |course: Value, speed: f64| -> Said { vec![(COURSE, course), (SPEED, json!(speed))] };
    check(&[
        (
            "GPRMC,TIME,A,5951.2340,N,02315.6000,E,0.2,045.0,DATE,7.0,E,A",
            rmc(json!(CREEP), json!(NE), json!(SEVEN), here()),
        ),
        // The parser ignores status V: stale coordinates pass as a fix.
        (
            "GPRMC,TIME,V,5951.2340,N,02315.6000,E,0.2,045.0,DATE,,,N",
            rmc(json!(CREEP), json!(NE), null(), here()),
        ),
        (
            "GPRMC,TIME,V,5951.2340,N,02315.6000,E,,,DATE,,,N",
            rmc(null(), null(), null(), here()),
        ),
        (
            "GPRMC,TIME,V,,,,,,,DATE,,,N",
            rmc(null(), null(), null(), null()),
        ),
        (
            "GPGGA,TIME,5951.2340,N,02315.6000,E,1,09,0.9,12.0,M,18.0,M,,",
            gga("GNSS Fix", 9, 0.9),
        ),
        // The position comes first, and only then the report that there is none.
        (
            "GPGGA,TIME,5951.2340,N,02315.6000,E,0,00,99.9,12.0,M,18.0,M,,",
            gga("no GPS", 0, 99.9),
        ),
        (
            "GPGGA,TIME,5951.2340,N,02315.6000,E,,09,0.9,12.0,M,18.0,M,,",
            gga("no GPS", 9, 0.9),
        ),
        (
            "GPGGA,TIME,5951.2340,N,02315.6000,E,6,00,99.9,12.0,M,18.0,M,,",
            gga("Estimated (DR) mode", 0, 99.9),
        ),
        (
            "GPGGA,TIME,5951.2340,N,02315.6000,E,8,09,0.9,12.0,M,18.0,M,,",
            gga("Simulator mode", 9, 0.9),
        ),
        // With more than four empty fields nothing is sent, and "GNSS Fix" stays in the cache.
        ("GPGGA,TIME,,,,,0,00,99.9,,,,,,", vec![]),
        ("GPGGA,TIME,,,,,0,00,99.9,0.0,M,0.0,M,,", vec![]),
        (
            "GPGLL,5951.2340,N,02315.6000,E,TIME,A,A",
            vec![(POSITION, here())],
        ),
        ("GPGLL,5951.2340,N,02315.6000,E,TIME,V,N", vec![]),
        ("GPGSA,A,1,,,,,,,,,,,,,99.9,99.9,99.9", vec![]),
        ("GPVTG,045.0,T,,M,0.2,N,0.4,K,A", vtg(json!(NE), CREEP_KM)),
        ("GPVTG,,T,,M,0.00,N,0.00,K,A", vtg(null(), 0.0)),
        // A missing speed becomes zero.
        ("GPVTG,045.0,T,,M,,N,,K,N", vtg(json!(NE), 0.0)),
        ("GPVTG,,T,,M,,N,,K,N", vec![]),
        ("GPVTG,,,,,,,,,N", vec![]),
    ]);
}

#[test]
fn of_compass_vane_sounder_and_engine() {
    let wind = |speed: f64, angle: f64| -> Said {
        vec![(WIND_SPEED, json!(speed)), (WIND_ANGLE, json!(angle))]
    };
    let depth = |depth: Value| -> Said { vec![(TRANSDUCER, depth)] };
    check(&[
        ("HEHDT,045.0,T", vec![(HEADING, json!(NE))]),
        ("HEHDT,,T", vec![]),
        // A missing number becomes north.
        ("HEHDT,---,T", vec![(HEADING, json!(0))]),
        (
            "HCHDG,045.0,,,7.0,E",
            vec![
                (MAGNETIC, json!(NE)),
                (HEADING, json!(NE + SEVEN)),
                (VARIATION, json!(SEVEN)),
            ],
        ),
        // A missing number becomes magnetic north, and the true heading is derived from it.
        (
            "HCHDG,---,,,7.0,E",
            vec![
                (MAGNETIC, json!(0)),
                (HEADING, json!(SEVEN)),
                (VARIATION, json!(SEVEN)),
            ],
        ),
        ("HCHDG,,,,7.0,E", vec![(VARIATION, json!(SEVEN))]),
        ("HCHDG,,,,,", vec![]),
        ("HCHDM,045.0,M", vec![(MAGNETIC, json!(NE))]),
        ("HCHDM,,M", vec![]),
        ("WIMWV,030.0,R,14.0,N,A", wind(BREEZE, THIRTY)),
        ("WIMWV,030.0,R,14.0,N,V", vec![]),
        ("WIMWV,,R,,N,V", vec![]),
        // An invalid or missing number with status A becomes a calm from dead ahead.
        ("WIMWV,,R,,N,A", wind(0.0, 0.0)),
        ("WIMWV,---,R,---,N,A", wind(0.0, 0.0)),
        ("SDDBT,26.2,f,8.0,M,4.4,F", depth(json!(8))),
        ("SDDBT,,f,,M,,F", depth(Value::Null)),
        ("SDDBT,0.0,f,0.0,M,0.0,F", depth(json!(0))),
        ("SDDBT,---,f,---,M,---,F", depth(json!(0))),
        (
            "SDDPT,8.0,0.5,",
            vec![
                (TRANSDUCER, json!(8)),
                (OFFSET, json!(0.5)),
                (SURFACE, json!(8.5)),
            ],
        ),
        // A lost bottom appears at the depth of the transducer.
        (
            "SDDPT,0.0,0.5,",
            vec![
                (TRANSDUCER, json!(0)),
                (OFFSET, json!(0.5)),
                (SURFACE, json!(0.5)),
            ],
        ),
        (
            "SDDPT,---,0.5,",
            vec![
                (TRANSDUCER, json!(0)),
                (OFFSET, json!(0.5)),
                (SURFACE, json!(0.5)),
            ],
        ),
        (
            "SDDPT,,0.5,",
            vec![(TRANSDUCER, Value::Null), (OFFSET, json!(0.5))],
        ),
        (
            "SDDPT,0.0,-0.5,",
            vec![
                (TRANSDUCER, json!(0)),
                (TO_KEEL, json!(0.5)),
                (KEEL, json!(-0.5)),
            ],
        ),
        (
            "SDDPT,,-0.5,",
            vec![(TRANSDUCER, Value::Null), (TO_KEEL, json!(0.5))],
        ),
        ("SDDBS,,f,,M,,F", vec![(SURFACE, Value::Null)]),
        ("SDDBS,0.0,f,0.0,M,0.0,F", vec![(SURFACE, json!(0))]),
        ("SDDBK,,f,,M,,F", vec![(KEEL, Value::Null)]),
        ("SDDBK,0.0,f,0.0,M,0.0,F", vec![(KEEL, json!(0))]),
        ("IIRPM,E,1,1800,10.0,A", vec![(REVOLUTIONS, json!(30))]),
        // Its status is ignored too, and a missing number becomes a stopped engine.
        ("IIRPM,E,1,1800,10.0,V", vec![(REVOLUTIONS, json!(30))]),
        ("IIRPM,E,1,,,V", vec![(REVOLUTIONS, json!(0))]),
        ("IIRPM,E,1,---,,A", vec![(REVOLUTIONS, json!(0))]),
    ]);
}
