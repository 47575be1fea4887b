//! The map of the crates: arrows point up the list only.

use cargo_metadata::{DependencyKind, MetadataCommand};

/// Top to bottom: a crate may use those above it.
const MAP: [&str; 20] = [
    "language-macros",
    "language",
    "quantity",
    "reference",
    "piece",
    "artwork",
    "air",
    "carve",
    "stencil",
    "safety",
    "cost",
    "class",
    "stock",
    "plan",
    "batch",
    "picture",
    "paper",
    "store",
    "web",
    "sabulo",
];

/// Crates that know no server, no database and no command line.
const CORE: &[&str] = MAP.split_at(17).0;

fn packages() -> Vec<(String, Vec<(String, DependencyKind)>)> {
    let metadata = MetadataCommand::new().no_deps().exec().expect("cargo is there, for it runs this test");
    let named = |package: &cargo_metadata::Package| {
        let uses = package.dependencies.iter().map(|dependency| (dependency.name.clone(), dependency.kind)).collect();
        (package.name.to_string(), uses)
    };
    metadata.workspace_packages().into_iter().map(named).collect()
}

fn place(name: &str) -> Option<usize> {
    MAP.iter().position(|crate_name| *crate_name == name)
}

#[test]
fn every_crate_is_on_the_map() {
    for (name, _) in packages() {
        assert!(place(&name).is_some(), "{name} is not on the map in ARCHITECTURE.md");
    }
    assert_eq!(packages().len(), MAP.len());
}

#[test]
fn no_arrow_points_down() {
    for (name, uses) in packages() {
        for (used, _) in uses {
            if let Some(above) = place(&used) {
                assert!(Some(above) < place(&name), "{name} uses {used}, which stands below it");
            }
        }
    }
}

#[test]
fn core_crates_know_no_server_database_or_command_line() {
    const OUTSIDE: [&str; 7] = ["axum", "tokio", "tower-http", "rusqlite", "clap", "maud", "rust-embed"];
    for (name, uses) in packages().iter().filter(|(name, _)| CORE.contains(&name.as_str())) {
        for (used, kind) in uses {
            let outside = *kind == DependencyKind::Normal && OUTSIDE.contains(&used.as_str());
            assert!(!outside, "{name} is a core crate and uses {used}");
        }
    }
}
