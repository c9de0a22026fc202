//! Forty nights of `windrode measure` as a stored table: `tests/measured.chk`.
//!
//! Nothing in it is a promise; to judge the drag test, use the figures of a thousand nights (see DEVELOPERS). This
//! table makes sure that a change that moves an alarm of the watch or of a rival by a metre is noticed. The seeds were
//! chosen once, before the first table was made, and are used for nothing else. `WINDRODE_REBUILD_CHK=1 tests/run
//! measured` writes the table again; the commit says why it changed.

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
