//! Packs public strip-packing instances and writes where everything lies, for another program to check.
//!
//! `nest_instances FOLDER OUT SECONDS WORKERS [NAME…]`: seconds of processor time for each worker, so that a busy
//! machine does not blur the figures; where the system does not tell it, seconds by the clock. The folder holds NAME.json files (items with demand, allowed
//! orientations in degrees, a polygon; a strip height) and best-published.csv. OUT/NAME.json gets the outlines as they
//! lie, and the length, OUT/NAME.svg a drawing; the table goes to standard output.

use artwork::grid::Point;
use artwork::region::Ring;
use quantity::Length;
use serde::Deserialize;
use serde_json::json;
use std::error::Error;
use std::path::Path;
use std::sync::Mutex;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};
use stencil::nest::{NestOptions, Piece, Stock, Turns, drawing, nest};

#[derive(Deserialize)]
struct Instance {
    items: Vec<Item>,
    strip_height: f64,
}

#[derive(Deserialize)]
struct Item {
    id: u32,
    demand: u32,
    allowed_orientations: Option<Vec<f64>>,
    shape: Shape,
}

#[derive(Deserialize)]
struct Shape {
    data: Vec<[f64; 2]>,
}

/// The longest side in millimetres that an instance is scaled to have: their units are anything.
const HEIGHT_MM: f64 = 1000.0;

fn main() -> Result<(), Box<dyn Error>> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let [folder, out, seconds, workers, names @ ..] = &arguments[..] else {
        return Err("give FOLDER OUT SECONDS WORKERS [NAME…]".into());
    };
    let best = std::fs::read_to_string(Path::new(folder).join("best-published.csv"))?;
    std::fs::create_dir_all(out)?;
    println!(
        "{:<10} {:>10} {:>10} {:>8} {:>8} {:>7} {:>6}",
        "instance", "best", "length", "best %", "here %", "short %", "load"
    );
    let mut short = Vec::new();
    for row in best.lines().skip(1) {
        let cells: Vec<&str> = row.split(',').collect();
        let (name, best_length, best_density) = (cells[0], cells[4].parse::<f64>()?, cells[5].parse::<f64>()?);
        if !names.is_empty() && !names.iter().any(|wanted| wanted == name) {
            continue;
        }
        let instance: Instance =
            serde_json::from_slice(&std::fs::read(Path::new(folder).join(format!("{name}.json")))?)?;
        let (length, density, layout, picture) = packed(&instance, seconds.parse()?, workers.parse()?)?;
        std::fs::write(Path::new(out).join(format!("{name}.json")), layout)?;
        std::fs::write(Path::new(out).join(format!("{name}.svg")), picture)?;
        let less = 100.0 * (1.0 - density * 100.0 / best_density);
        short.push(less);
        let load = std::fs::read_to_string("/proc/loadavg").unwrap_or_default();
        let load = load.split(' ').next().unwrap_or_default();
        println!(
            "{name:<10} {best_length:>10.3} {length:>10.3} {best_density:>8.2} {:>8.2} {less:>7.2} {load:>6}",
            100.0 * density
        );
    }
    short.sort_by(f64::total_cmp);
    println!("median short of the best published: {:.2} %", short[short.len() / 2]);
    Ok(())
}

/// Length in the instance's units, density, and the layout as JSON and as SVG.
fn packed(instance: &Instance, seconds: f64, workers: usize) -> Result<(f64, f64, String, String), Box<dyn Error>> {
    let scale = HEIGHT_MM / instance.strip_height;
    let pieces: Vec<Piece> = instance.items.iter().map(|item| piece(item, scale)).collect();
    let stock = Stock { rolls: vec![Length::mm(HEIGHT_MM)?], ..Stock::default() };
    let none = Length::mm(0.0)?;
    let options = NestOptions { gap: none, edge: none, seed: 1, workers };
    let (clock, moves) = (Clock::start(), AtomicU64::new(0));
    let nested = nest(&pieces, &stock, &options, &|count| {
        moves.store(count, Ordering::Relaxed);
        clock.seconds() / (seconds * workers as f64)
    })?;
    eprintln!("{} moves", moves.load(Ordering::Relaxed));
    let sheet = nested.sheets.first().ok_or("nothing was laid")?;
    let ring = |ring: Ring| ring.0.iter().map(|p| [p.x / scale, p.y / scale]).collect::<Vec<_>>();
    let laid: Vec<_> = sheet
        .placements
        .iter()
        .map(|at| json!({ "piece": pieces[at.piece].name, "turn": at.turn_degrees, "outline": ring(at.outline(&pieces[at.piece])) }))
        .collect();
    let length = sheet.used_mm / scale;
    let layout = json!({ "length": length, "height": instance.strip_height, "laid": laid });
    Ok((length, sheet.density, layout.to_string(), drawing::svg(sheet, &pieces, "roll")))
}

fn piece(item: &Item, scale: f64) -> Piece {
    let points = item.shape.data.iter().map(|[x, y]| Point { x: x * scale, y: y * scale });
    Piece {
        name: item.id.to_string(),
        outline: Ring(points.collect()),
        quantity: item.demand,
        turns: item.allowed_orientations.clone().map_or(Turns::Any, Turns::Of),
    }
}

/// Processor time of all threads since the start, looked at now and then.
struct Clock {
    begun: Instant,
    before: Option<f64>,
    last: Mutex<(Instant, f64)>,
}

impl Clock {
    const EVERY: Duration = Duration::from_millis(20);
    /// Ticks in a second that the system counts processor time in: 100 on every common one.
    const TICKS: f64 = 100.0;

    fn start() -> Self {
        let begun = Instant::now();
        Self { begun, before: Self::ticks(), last: Mutex::new((begun, 0.0)) }
    }

    fn ticks() -> Option<f64> {
        let stat = std::fs::read_to_string("/proc/self/stat").ok()?;
        let fields: Vec<&str> = stat.rsplit_once(')')?.1.split_whitespace().collect();
        Some(fields.get(11)?.parse::<f64>().ok()? + fields.get(12)?.parse::<f64>().ok()?)
    }

    fn seconds(&self) -> f64 {
        let Ok(mut last) = self.last.lock() else { return 0.0 };
        if last.0.elapsed() > Self::EVERY {
            let ticks = Self::ticks().zip(self.before).map(|(now, before)| (now - before) / Self::TICKS);
            *last = (Instant::now(), ticks.unwrap_or_else(|| self.begun.elapsed().as_secs_f64()));
        }
        last.1
    }
}
