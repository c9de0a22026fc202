//! Forty nights of `windrode measure` as a table that is kept: `tests/measured.chk`.
//!
//! Nothing in it is a promise; the figures to judge the drag test by are those of a thousand nights (see DEVELOPERS). It is here so that a
//! change that moves an alarm by a metre, or a rival's, does not pass unseen. The seeds were taken once, before the first table was
//! made, and are used for nothing else. `WINDRODE_REBUILD_CHK=1 tests/run measured` writes the table again; the commit says why it changed.

use std::fs;
use std::path::Path;

use assert_cmd::Command;

#[test]
fn forty_nights_are_measured_as_the_table_says() {
    let output = Command::new(env!("CARGO_BIN_EXE_windrode"))
        .env_remove("WINDRODE_CONFIG")
        .args(["measure", "--seed", "31000001", "--nights", "40"])
        .output()
        .unwrap();
    assert!(output.status.success(), "{output:?}");
    let table = String::from_utf8(output.stdout).unwrap();
    let check = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/measured.chk");
    if std::env::var_os("WINDRODE_REBUILD_CHK").is_some() {
        fs::write(&check, &table).unwrap();
    }
    assert_eq!(table, fs::read_to_string(&check).unwrap());
}
