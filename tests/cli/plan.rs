//! `windrode plan` as the crew uses it.

use serde_json::Value;

use super::Windrode;

const TERN: &str = "\
[boat]
length = \"11.2 m\"
beam = \"3.6 m\"
draught = \"1.9 m\"
roller_height = \"1.3 m\"
transducer_depth = \"0.5 m\"
freeboard = \"1.1 m\"
mast_height = \"15.5 m\"
[tackle]
rode_aboard = \"60 m\"
chain = \"8 mm G40\"
marks = \"5 m\"
anchor = \"20 kg\"
";

fn planned(arguments: &[&str], toml: &str) -> Value {
    let mut all = vec!["plan", "--json"];
    all.extend(arguments);
    let output = Windrode::new(&all).config(toml).output();
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    serde_json::from_slice(&output.stdout).unwrap()
}

fn page(arguments: &[&str], toml: &str) -> Vec<String> {
    let mut all = vec!["plan"];
    all.extend(arguments);
    let output = Windrode::new(&all).config(toml).output();
    assert_eq!(output.status.code(), Some(0), "{output:?}");
    let text = String::from_utf8(output.stdout).unwrap();
    text.lines().map(str::to_owned).collect()
}

/// A worked example of common practice: 10 ft of water, a roller 5 ft up and 5:1 give 75 ft; with
/// marks every 10 ft, 80 ft are veered. All of it in metres.
#[test]
fn ten_feet_of_water_and_a_roller_five_feet_up_want_75_feet() {
    let common = ["--depth", "10ft", "--roller", "5ft", "--scope", "5"];
    let plan = planned(&common, "");
    let near = |name: &str, feet: f64| {
        let found = plan[name].as_f64().unwrap();
        assert!((found - feet * 0.3048).abs() < 1e-9, "{name}: {found}");
    };
    near("rode", 75.0);
    near("veer", 75.0);
    // 75² - 15² = 5400.
    near("reach", 5400.0_f64.sqrt());
    assert_eq!(plan["scope"].as_f64(), Some(5.0));
    assert!(plan["swingRadius"].as_f64() > plan["reach"].as_f64());
    assert!(!plan["assumptions"].as_array().unwrap().is_empty());

    // 4.43 ft under a keel of 6 ft are about that.
    let keel = [
        "--depth",
        "4.43ft",
        "--below",
        "keel",
        "--draught",
        "6ft",
        "--roller",
        "5ft",
        "--scope",
        "5",
        "--marks",
        "10ft",
    ];
    let veer = planned(&keel, "")["veer"].as_f64().unwrap();
    assert!((veer - 80.0 * 0.3048).abs() < 1e-9, "{veer}");
}

#[test]
fn the_page_fits_80_columns_and_reads_from_the_top() {
    let lines = page(
        &[
            "--depth",
            "6.2m",
            "--below",
            "transducer",
            "--rise",
            "2m",
            "--fall",
            "1m",
            "--wind",
            "25kn",
            "--holding",
            "good",
        ],
        TERN,
    );
    for line in &lines {
        assert!(line.chars().count() <= 80, "{line}");
    }
    let names: Vec<&str> = lines
        .iter()
        .take_while(|line| !line.is_empty())
        .filter_map(|line| {
            line.split_whitespace()
                .next()
                .filter(|_| !line.starts_with(' '))
        })
        .collect();
    assert_eq!(
        names,
        [
            "depth", "tide", "keel", "roller", "scope", "rode", "TOTAL", "aboard", "reach", "ROOM",
            "circle", "wind", "bottom", "lifts", "strength"
        ]
    );
    let has = |text: &str| {
        assert!(
            lines.iter().any(|line| line.contains(text)),
            "{text}\n{lines:#?}"
        );
    };
    has("TOTAL RODE  50 m (marks each 5 m), 5:1 at the highest water, 6.2:1 now");
    has("No figure here says that the anchor holds");
    has("Not for navigation");
}

#[test]
fn a_rode_that_is_not_enough_is_said_on_the_page() {
    let lines = page(&["--depth", "13m", "--scope", "7"], TERN);
    assert!(
        lines.contains(&"aboard      60 m, NOT ENOUGH".to_owned()),
        "{lines:#?}"
    );
    let all: Vec<&str> = lines
        .iter()
        .flat_map(|line| line.split_whitespace())
        .collect();
    let all = all.join(" ");
    assert!(all.contains("it would give 4.1:1"), "{all}");
}

/// The configuration applies, and the command line overrides it.
#[test]
fn the_command_line_wins_over_the_configuration() {
    let plan = planned(&["--depth", "7m", "--holding", "good"], TERN);
    assert!((plan["rode"].as_f64().unwrap() - 41.5).abs() < 1e-9);
    assert_eq!(plan["veer"].as_f64(), Some(45.0));
    let overruled = [
        "--depth",
        "7m",
        "--holding",
        "good",
        "--roller",
        "2m",
        "--marks",
        "10m",
    ];
    let plan = planned(&overruled, TERN);
    assert!((plan["rode"].as_f64().unwrap() - 45.0).abs() < 1e-9);
    assert_eq!(plan["veer"].as_f64(), Some(50.0));
    let scopes = format!("{TERN}scope_storm = 12\n[wind]\nstorm = \"40 kn\"\n");
    assert_eq!(
        planned(&["--depth", "2m", "--wind", "39kn"], &scopes)["scope"],
        7.0
    );
    assert_eq!(
        planned(&["--depth", "2m", "--wind", "41kn"], &scopes)["scope"],
        12.0
    );
}

#[track_caller]
fn refused(arguments: &[&str], complaint: &str) {
    let mut all = vec!["plan"];
    all.extend(arguments);
    Windrode::new(&all).complains(complaint).status(64);
}

#[test]
fn refusals_name_the_option_and_what_to_write() {
    refused(
        &["--depth", "4m", "--below", "keel"],
        "windrode: `--below keel` needs the draught: give `--draught`, such as `--draught 1.9m`, or `boat.draught` in the configuration\n",
    );
    refused(
        &["--depth", "4m", "--below", "transducer"],
        "windrode: `--below transducer` needs the transducer's depth: give `--transducer`, such as `--transducer 0.5m`, or `boat.transducer_depth` in the configuration\n",
    );
    refused(
        &["--depth", "4m", "--below", "datum", "--rise", "2m"],
        "windrode: `--below datum` needs the height of the tide: give `--tide`, `--high-water` and `--low-water` instead of `--rise` and `--fall`\n",
    );
    refused(
        &["--depth", "4m", "--chain", "8mm", "--rope", "14 mm nylon"],
        "windrode: a rode of chain and rope needs the length of the chain: give `--chain-length`, such as `--chain-length 30m`\n",
    );
    refused(
        &["--depth", "4m", "--chain-length", "80m", "--aboard", "60m"],
        "windrode: `--chain-length` 80 m is more than the rode aboard, 60 m; `--aboard` is chain and rope together\n",
    );
    refused(
        &[
            "--depth",
            "4m",
            "--tide",
            "1m",
            "--high-water",
            "1m",
            "--low-water",
            "2m",
        ],
        "windrode: `--high-water` is lower than `--low-water`; both are heights above chart datum\n",
    );
    let more = "\n\nFor more information, try '--help'.\n";
    refused(
        &["--depth", "900m"],
        &format!(
            "error: invalid value '900m' for '--depth <LENGTH>': a depth to anchor in lies between 0 m and 200 m (0 ft and 656 ft){more}"
        ),
    );
    refused(
        &["--depth", "7"],
        &format!(
            "error: invalid value '7' for '--depth <LENGTH>': `7` has no unit; write `7m` or use one of `m`, `ft`, `feet`, `fathoms`, `nm`, `km`, `cm`, `mm`{more}"
        ),
    );
    refused(
        &["--depth", "7m", "--scope", "0.5"],
        &format!(
            "error: invalid value '0.5' for '--scope <NUMBER>': a scope lies between 1.5 and 20, such as `5` for five to one{more}"
        ),
    );
    refused(
        &["--depth", "7m", "--chain", "9 mm"],
        &format!(
            "error: invalid value '9 mm' for '--chain <CHAIN>': no table has a chain of `9 mm`; known are `6 mm`, `7 mm`, `8 mm`, `10 mm`, `12 mm`, `13 mm`, `14 mm`, `16 mm`{more}"
        ),
    );
    refused(
        &["--depth", "7m", "--wind", "400kn"],
        &format!(
            "error: invalid value '400kn' for '--wind <SPEED>': a wind to plan for lies between 0 kn and 100 kn{more}"
        ),
    );
}
