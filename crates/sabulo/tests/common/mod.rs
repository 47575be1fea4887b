//! The program itself, as a person runs it.

#![allow(dead_code, reason = "each test file uses its part of this")]

pub(crate) mod server;

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// The examples' folder.
pub(crate) fn examples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples")
}

/// Runs `sabulo` with these arguments.
pub(crate) fn sabulo<S: AsRef<std::ffi::OsStr>>(arguments: impl IntoIterator<Item = S>) -> Output {
    let output = Command::new(env!("CARGO_BIN_EXE_sabulo")).args(arguments).output();
    output.expect("the program was built for this test")
}

/// Its exit code.
pub(crate) fn code(output: &Output) -> i32 {
    output.status.code().expect("no signal ended it")
}

/// What it said on stderr.
pub(crate) fn complaint(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// Every filled outline of an SVG as usvg reads it, in its dots, 96 an inch.
pub(crate) fn filled(svg: &[u8]) -> Vec<kurbo::BezPath> {
    fn walk(group: &usvg::Group, found: &mut Vec<kurbo::BezPath>) {
        for node in group.children() {
            match node {
                usvg::Node::Group(group) => walk(group, found),
                usvg::Node::Path(path) if path.fill().is_some() => {
                    let data = path.data().clone().transform(path.abs_transform());
                    found.push(outline(&data.expect("a written transform is finite")));
                }
                _ => {}
            }
        }
    }
    let tree = usvg::Tree::from_data(svg, &usvg::Options::default()).expect("what was written is an SVG");
    let mut found = Vec::new();
    walk(tree.root(), &mut found);
    found
}

fn outline(data: &usvg::tiny_skia_path::Path) -> kurbo::BezPath {
    use usvg::tiny_skia_path::PathSegment::{Close, LineTo, MoveTo};
    let mut outline = kurbo::BezPath::new();
    let at = |p: usvg::tiny_skia_path::Point| (f64::from(p.x), f64::from(p.y));
    for segment in data.segments() {
        match segment {
            MoveTo(p) => outline.move_to(at(p)),
            LineTo(p) => outline.line_to(at(p)),
            Close => outline.close_path(),
            other => panic!("only straight lines were written: {other:?}"),
        }
    }
    outline
}

/// What it printed, with plain spaces before units.
pub(crate) fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).replace('\u{202f}', " ")
}
