//! The threat model: each of its promises names tests, and each named test exists.
//!
//! Weakness: it reads text. A reviewer must judge whether a test shows what the promise says.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

#[test]
fn each_promise_of_the_threat_model_names_tests_that_exist() {
    let page = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let promises = promises(&page);
    assert!(promises.len() >= 15, "{} promises", promises.len());
    let tests = tests();
    assert!(tests.len() > 500, "{} tests found", tests.len());
    for promise in promises {
        let named = named(&promise);
        assert!(!named.is_empty(), "no test: {promise}");
        for test in named {
            assert!(tests.contains(test), "no such test: `{test}`");
        }
    }
}

#[test]
fn what_the_check_is_for_it_finds() {
    let page = "## Threat model\n\nAssumed:\n\n- All is `well`.\n\n1. It\n   holds. `a::b`,\n   `c::d`\n2. So.\n\n## Next\n\n3. No.";
    let promises = promises(page);
    assert_eq!(promises, ["1. It holds. `a::b`, `c::d`", "2. So."]);
    assert_eq!(named(&promises[0]), ["a::b", "c::d"]);
    let tests = tests_of(
        "a::b",
        "#[test]\nfn one() {}\nfn two() {}\nmod tests {\n    #[tokio::test]\n    async fn three() {}\n}",
    );
    assert_eq!(tests, ["a::b::one", "a::b::tests::three"]);
}

/// The numbered items of the threat model, each on one line.
fn promises(page: &str) -> Vec<String> {
    let part = page.split_once("\n## Threat model\n").map_or_else(
        || page.trim_start_matches("## Threat model\n"),
        |(_, part)| part,
    );
    let part = part.split("\n## ").next().unwrap_or_default();
    let mut promises: Vec<String> = Vec::new();
    for line in part.lines() {
        let number = line.split(". ").next().unwrap_or_default();
        if !number.is_empty() && number.bytes().all(|byte| byte.is_ascii_digit()) {
            promises.push(line.to_owned());
        } else if let Some(last) = promises.last_mut()
            && line.starts_with("   ")
        {
            *last = format!("{last} {}", line.trim());
        }
    }
    promises
}

/// The terms in backticks that are Rust paths.
fn named(promise: &str) -> Vec<&str> {
    let quoted = promise.split('`').skip(1).step_by(2);
    quoted.filter(|quoted| quoted.contains("::")).collect()
}

/// Every test of the crate and of the integration tests, by its path in the harness.
fn tests() -> BTreeSet<String> {
    let mut all = BTreeSet::new();
    for folder in ["src", "tests"] {
        let folder = root().join(folder);
        let mut files = Vec::new();
        gather(&folder, &mut files);
        for file in files {
            let module = module(file.strip_prefix(&folder).unwrap());
            all.extend(tests_of(&module, &fs::read_to_string(&file).unwrap()));
        }
    }
    all
}

fn tests_of(module: &str, text: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut place = module.to_owned();
    let mut marked = false;
    for line in text.lines() {
        let line = line.trim();
        if line == "mod tests {" {
            place = format!("{module}::tests");
        } else if line.starts_with("#[test]") || line.starts_with("#[tokio::test") {
            marked = true;
        } else if let Some((_, name)) = line.split_once("fn ")
            && marked
        {
            let name = name.split('(').next().unwrap_or_default();
            found.push(format!("{place}::{name}"));
            marked = false;
        }
    }
    found
}

fn module(file: &Path) -> String {
    let path = file.with_extension("");
    let parts = path.iter().map(|part| part.to_string_lossy().into_owned());
    let parts: Vec<String> = parts
        .filter(|part| part != "mod" && part != "lib")
        .collect();
    parts.join("::")
}

/// The Rust sources below a folder, without installed ones.
pub(crate) fn gather(folder: &Path, files: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let hidden = path
            .file_name()
            .is_some_and(|name| name.to_string_lossy().starts_with('.'));
        if path.is_dir() && !hidden {
            gather(&path, files);
        } else if path.extension().is_some_and(|extension| extension == "rs") {
            files.push(path);
        }
    }
}

pub(crate) fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}
