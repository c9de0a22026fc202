use super::*;
use crate::chart::faults::Faults;
use crate::chart::parse::Reading;
use tempfile::TempDir;

fn cell(name: &str, at: f64) -> Cell {
    let mut reading = Reading::of(name);
    let to = at + 1.0;
    let text = format!(
        r#"{{"type":"Feature","properties":{{"OBJL":42,"DRVAL1":5}},"geometry":{{"type":"Polygon","coordinates":[[[{at},1],[{to},1],[{to},2],[{at},1]]]}}}}"#
    );
    reading.take(&text, None).unwrap();
    Cell::of(reading, &mut Faults::default()).unwrap()
}

fn about(longitude: f64) -> Vec<Extent> {
    Extent::about(
        crate::geodesy::Position::new(1.2, longitude).unwrap(),
        1000.0,
    )
}

#[test]
fn cells_are_kept_listed_loaded_by_area_and_removed() {
    let dir = TempDir::new().unwrap();
    let room = ChartRoom::of(dir.path());
    assert!(room.list().unwrap().is_empty());
    assert!(room.load(&about(1.8)).unwrap().cells().is_empty());
    room.add(&cell("A", 1.0)).unwrap();
    room.add(&cell("B", 5.0)).unwrap();
    // Added again: it replaces the first.
    room.add(&cell("A", 1.0)).unwrap();
    let kept: Vec<Kept> = room
        .list()
        .unwrap()
        .into_iter()
        .map(Result::unwrap)
        .collect();
    assert_eq!(
        kept.iter()
            .map(|kept| kept.about.name.as_str())
            .collect::<Vec<_>>(),
        ["A", "B"]
    );
    assert_eq!(kept[0].objects, 1);
    assert_eq!(kept[1].extent.unwrap().low.degrees(), [5.0, 1.0]);
    let sheet = room.load(&about(5.8)).unwrap();
    assert_eq!(
        sheet
            .cells()
            .iter()
            .map(|about| about.name.as_str())
            .collect::<Vec<_>>(),
        ["B"]
    );
    assert!(room.load(&about(3.5)).unwrap().cells().is_empty());
    room.remove("A").unwrap();
    assert!(matches!(room.remove("A"), Err(ChartRoomError::NoSuch(_))));
    assert_eq!(room.list().unwrap().len(), 1);
}

#[test]
fn a_damaged_file_is_reported_and_never_skipped() {
    let dir = TempDir::new().unwrap();
    let room = ChartRoom::of(dir.path());
    room.add(&cell("A", 1.0)).unwrap();
    let file = dir.path().join("charts/A.chart");
    let mut bytes = std::fs::read(&file).unwrap();
    let end = bytes.len() - 8;
    bytes[end] ^= 0xff;
    std::fs::write(&file, &bytes).unwrap();
    let error = room.load(&about(1.8)).unwrap_err().to_string();
    assert!(
        error.contains("A.chart") && error.contains("add the cell again"),
        "{error}"
    );
    std::fs::write(&file, "something else").unwrap();
    assert!(room.load(&about(1.8)).is_err());
    assert!(room.list().unwrap()[0].is_err());
    // Removed and added again, it is complete.
    room.remove("A").unwrap();
    room.add(&cell("A", 1.0)).unwrap();
    assert!(room.load(&about(1.8)).is_ok());
}

#[test]
fn names_stay_within_the_folder() {
    let dir = TempDir::new().unwrap();
    let room = ChartRoom::of(dir.path());
    for name in ["", "../A", "a/b", "A.chart", "a b", &"a".repeat(65)] {
        assert!(
            matches!(room.add(&cell(name, 1.0)), Err(ChartRoomError::Name(_))),
            "{name}"
        );
        assert!(
            matches!(room.remove(name), Err(ChartRoomError::Name(_))),
            "{name}"
        );
    }
}
