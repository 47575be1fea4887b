//! `sabulo plan` on each example at a cell of 0.1 mm, all files written: the whole program as a person runs it.
//!
//! The peer is the same work with the carving equation solved on the grid (`--solve`); the ratio of the two
//! medians is printed. The aim is under a second on two cores for the closed form.

use criterion::Criterion;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

const EXAMPLES: [&str; 3] = ["heron", "crest", "marker"];

fn run(example: &str, out: &Path, solve: bool) -> Duration {
    let piece = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(example).join("piece.toml");
    let mut command = Command::new(env!("CARGO_BIN_EXE_sabulo"));
    command.arg("plan").arg(piece).arg("--out").arg(out).stdout(Stdio::null());
    if solve {
        command.arg("--solve");
    }
    let begun = Instant::now();
    let status = command.status().expect("the program was built for this bench");
    assert!(matches!(status.code(), Some(0 | 3)), "{example} was not planned");
    begun.elapsed()
}

fn main() {
    let out = tempfile::tempdir().expect("a temporary folder");
    let mut criterion = Criterion::default().sample_size(10).configure_from_args();
    for example in EXAMPLES {
        criterion
            .bench_function(&format!("plan {example}"), |bencher| bencher.iter(|| run(example, out.path(), false)));
        let median = |solve| {
            let mut times: Vec<Duration> = (0..3).map(|_| run(example, out.path(), solve)).collect();
            times.sort();
            times[1]
        };
        let (closed, solved) = (median(false), median(true));
        println!(
            "{example}: closed form {closed:.2?}, solved {solved:.2?}, ratio {:.1}",
            solved.as_secs_f64() / closed.as_secs_f64()
        );
    }
    criterion.final_summary();
}
