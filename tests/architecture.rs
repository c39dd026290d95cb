//! The house: which crate may lean on which, and what lies in the top folder.

use serde_json::Value;
use std::collections::BTreeSet;
use std::path::Path;
use std::process::Command;

/// Each crate of ours with the crates of ours it may name.
const ARROWS: [(&str, &[&str]); 8] = [
    ("theory", &[]),
    ("song", &["theory"]),
    ("voicing", &["theory", "song"]),
    ("practice", &["theory", "song", "voicing"]),
    ("exchange", &["theory", "song", "voicing", "practice"]),
    ("sound", &[]),
    ("ui", &["theory", "song", "voicing", "practice"]),
    ("app", &["theory", "song", "voicing", "practice", "exchange", "sound", "ui"]),
];

/// Crates that open files, windows, devices or clocks; the pure ones name none of them.
const OF_THE_EDGE: [&str; 9] =
    ["eframe", "winit", "midir", "rodio", "cpal", "directories", "clap", "rtrb", "tempfile"];

fn top() -> &'static Path {
    Path::new(concat!(env!("CARGO_MANIFEST_DIR"), "/../.."))
}

fn packages() -> Vec<Value> {
    let metadata = Command::new(env!("CARGO"))
        .args(["metadata", "--no-deps", "--offline", "--format-version", "1"])
        .current_dir(top())
        .output()
        .unwrap();
    assert!(metadata.status.success(), "{}", String::from_utf8_lossy(&metadata.stderr));
    let mut metadata: Value = serde_json::from_slice(&metadata.stdout).unwrap();
    let Value::Array(packages) = metadata["packages"].take() else { panic!("a list of packages") };
    packages
}

fn dependencies(package: &Value, wanted: impl Fn(&Value) -> bool) -> BTreeSet<String> {
    let all = package["dependencies"].as_array().unwrap();
    all.iter().filter(|d| wanted(d)).map(|d| d["name"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn arrows_between_crates_point_downwards() {
    let packages = packages();
    let names: BTreeSet<&str> = packages.iter().map(|p| p["name"].as_str().unwrap()).collect();
    assert_eq!(
        names,
        ARROWS.iter().map(|(name, _)| *name).collect(),
        "each crate has its place in the house"
    );
    for (name, allowed) in ARROWS {
        let package = packages.iter().find(|p| p["name"] == name).unwrap();
        let ours = dependencies(package, |d| names.contains(d["name"].as_str().unwrap()));
        for leans_on in ours {
            assert!(allowed.contains(&leans_on.as_str()), "{name} must not lean on {leans_on}");
        }
    }
}

#[test]
fn below_the_edge_no_crate_can_open_anything() {
    for package in packages().iter().filter(|p| p["name"] != "app") {
        for used in dependencies(package, |d| d["kind"].is_null()) {
            assert!(
                !OF_THE_EDGE.contains(&used.as_str()),
                "{} uses {used}, which is for the edge",
                package["name"]
            );
        }
    }
}

#[test]
fn every_crate_takes_the_lints_and_versions_of_the_workspace() {
    for (name, _) in ARROWS {
        let manifest = std::fs::read_to_string(top().join(format!("crates/{name}/Cargo.toml"))).unwrap();
        assert!(manifest.contains("[lints]\nworkspace = true"), "{name} takes the workspace's lints");
        assert!(manifest.contains("autotests = false"), "{name} has one test binary");
        for line in manifest.lines().filter(|line| line.contains("version = ")) {
            assert!(line.contains("version.workspace"), "{name}: versions stand in the top manifest: {line}");
        }
    }
}

#[test]
fn the_top_folder_holds_what_it_should() {
    let allowed = [
        "Cargo.toml",
        "Cargo.lock",
        "README.md",
        "DEVELOPERS.md",
        "LICENSE",
        "crates",
        "assets",
        "demo-songs",
        "tests",
        "play",
        "check",
        "clippy.toml",
        "rust-toolchain.toml",
        "rustfmt.toml",
        "target",
    ];
    for entry in std::fs::read_dir(top()).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        assert!(
            name.starts_with('.') || allowed.contains(&name.as_str()),
            "{name} does not belong in the top folder"
        );
    }
}

/// Nothing that was built or measured here is kept: a bench leaves its figures beside its crate.
#[test]
fn nothing_that_is_to_be_ignored_is_kept() {
    let kept = Command::new("git")
        .args(["ls-files", "--cached", "--ignored", "--exclude-standard"])
        .current_dir(top())
        .output()
        .unwrap();
    // An unpacked copy without its history keeps nothing.
    assert_eq!(String::from_utf8_lossy(&kept.stdout), "");
}

/// The pages for players and contributors name files that are there.
#[test]
fn what_the_pages_name_is_there() {
    for page in ["README.md", "DEVELOPERS.md"] {
        let text = std::fs::read_to_string(top().join(page)).unwrap();
        let of_tree =
            |word: &&str| ["crates/", "tests/", "assets/", "demo-songs/"].iter().any(|f| word.starts_with(f));
        let named: Vec<&str> = text
            .split(|c: char| c.is_whitespace() || "`()".contains(c))
            .map(|word| word.trim_end_matches(['.', ',', ';', ':']))
            .filter(of_tree)
            .collect();
        assert!(named.len() > 1, "{page} names files");
        for path in named {
            assert!(top().join(path).exists(), "{page} names {path}, which is not there");
        }
    }
}

#[test]
fn no_file_of_ours_is_too_long_to_read() {
    let mut folders = vec![top().join("crates"), top().join("tests")];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() && !path.ends_with("target") {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let lines = std::fs::read_to_string(&path).unwrap().lines().count();
                assert!(lines <= 800, "{} has {lines} lines; one noun per file", path.display());
            }
        }
    }
}
