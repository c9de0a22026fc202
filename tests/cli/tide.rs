//! `windrode tide` as its users meet it.

use super::Windrode;

#[test]
fn the_tide_is_printed_with_datum_zone_source_and_cautions() {
    Windrode::new(&[
        "tide",
        "--station",
        "noaa/8444012",
        "--from",
        "2026-06-01",
        "--to",
        "1 Jun 2026",
        "--utc",
    ])
    .says(
        "\
             Deer Island (South End), MA, United States (noaa/8444012)\n\
             at 42°20.898'N 070°57.600'W\n\
             a secondary station: differences to Boston (noaa/8443970)\n\
             heights above mean lower low water (MLLW); times in UTC\n\
             \n\
             Mon 1 Jun 2026\n\
             \x20 high  04:22    2.98 m    9.8 ft\n\
             \x20 low   10:48    0.13 m    0.4 ft\n\
             \x20 high  17:04    2.59 m    8.5 ft\n\
             \x20 low   22:50    0.50 m    1.6 ft\n\
             \n\
             - calculated from moon and sun alone: wind, air pressure, rain and ice move the\n\
             \x20 level as well, in a gale by a metre and more\n\
             - chart datum and the bottom change; keep a margin, sound the depth yourself,\n\
             \x20 and heed the official tables and warnings\n\
             - an aid, not a substitute for a proper lookout and anchor watch, the skipper's\n\
             \x20 judgement and local rules; not for navigation\n\
             Constants: US National Oceanic and Atmospheric Administration (public domain).\n",
    )
    .status(0);
}

#[test]
fn a_tide_that_cannot_be_told_says_what_to_write() {
    for (arguments, told) in [
        (
            &["tide"][..],
            "for which place? name it with `--near LAT,LON`, a station with `--station ID` or, for good, as `water.station` in the configuration",
        ),
        (
            &["tide", "--station", "nowhere"],
            "no tide station is called `nowhere`; `windrode tide --near LAT,LON` lists the nearest ones",
        ),
        (
            &["tide", "--station", "8443970", "--from", "1/6/2026"],
            "`--from 1/6/2026` can be read two ways; write `2026-06-01` or `1 Jun 2026`",
        ),
        (
            &[
                "tide",
                "--station",
                "8443970",
                "--from",
                "2026-06-01",
                "--to",
                "2026-06-30",
                "--every",
                "1s",
            ],
            "`--every 1 s` makes 2592001 heights in this time; 100000 is the most",
        ),
    ] {
        Windrode::new(arguments)
            .complains(&format!("windrode: {told}\n"))
            .status(64);
    }
}
