//! Stencil files as programs read of them, and their making, shared by pieces, vessels and batches.

use crate::commands::plan::hex;
use crate::error::Failure;
use language::{Language, say, say_count};
use picture::Theme;
use picture::svg::{Colours, write};
use picture::weed::{WeedOptions, weed};
use plan::Making;
use quantity::show::{Show as _, significant};
use quantity::{Area, Estimate, Length, Quantity as _, Time, UnitSystem};
use rayon::prelude::*;
use serde::Serialize;
use sha2::{Digest as _, Sha256};
use stencil::bundle::{CutWork, Form, cuts, files};
use stencil::cut::tiles::{Tiling, tiles};
use stencil::cut::weed::{WeedPace, WeedPlan, weed_plan};
use stencil::layers::StencilLayer;
use stencil::treat::{Treated, treated};

/// A layer, or a strip of one that is wider than the cutter.
#[derive(Debug, Serialize)]
pub(super) struct LayerEntry {
    /// Stage that opens it, from 1.
    pub(super) stage: usize,
    pub(super) name: String,
    /// Strip of the layer, from 1; null when it is whole.
    pub(super) strip: Option<usize>,
    /// The sheet of resist.
    pub(super) width_mm: f64,
    pub(super) height_mm: f64,
    /// Whether its height, not its width, lies across the roll: the sheet is turned.
    pub(super) turned: bool,
    pub(super) open_area_mm2: f64,
    /// Openings that the line gain takes away wholly.
    pub(super) lost_openings: usize,
    /// Where bridges stand, in the sheet's coordinates.
    pub(super) bridges_mm: Vec<[f64; 2]>,
    /// What a cutter does; null when no plotter file was asked for.
    pub(super) cut: Option<CutEntry>,
    /// How it is weeded; null for film, which is washed out.
    pub(super) weed: Option<WeedEntry>,
    pub(super) files: Vec<FileEntry>,
}

#[derive(Debug, Serialize)]
pub(super) struct CutEntry {
    lines: usize,
    cut_mm: f64,
    travel_mm: f64,
    /// In the order of the drawing.
    travel_before_mm: f64,
    /// No order travels less.
    travel_least_mm: f64,
    travel_ratio: f64,
}

#[derive(Debug, Serialize)]
pub(super) struct WeedEntry {
    time_s: f64,
    time_s_low: f64,
    time_s_high: f64,
    /// In order.
    steps: Vec<WeedStepEntry>,
}

#[derive(Debug, Serialize)]
struct WeedStepEntry {
    /// Left, top, right, bottom.
    frame_mm: [f64; 4],
    openings: usize,
    smallest_mm2: Option<f64>,
    islands: usize,
    edge_mm: f64,
    time_s: f64,
    time_s_low: f64,
    time_s_high: f64,
}

/// A file that was read back before it was written.
#[derive(Debug, Clone, Serialize)]
pub(super) struct FileEntry {
    pub(super) path: String,
    /// "svg", "dxf", "plt", "pdf", "tif", or "weed" for the picture of weeding.
    pub(super) form: &'static str,
    /// Furthest that what was read back is off; null for a picture.
    pub(super) off_mm: Option<f64>,
    pub(super) sha256: String,
}

/// Files by name.
pub(super) type Files = Vec<(String, Vec<u8>)>;

/// A layer made: what to tell of it, its files, and what the stencil sheet shows.
pub(super) struct Made {
    pub(super) entry: LayerEntry,
    pub(super) files: Files,
    pub(super) layer: StencilLayer,
    pub(super) weed: Option<WeedPlan>,
    pub(super) cut: Option<CutWork>,
}

/// Makes every layer ready and writes it in every form, strips of a wide one each by itself.
///
/// `stem`: how the files' names begin. `pace`: of weeding; `None` for film.
pub(super) fn make(
    layers: &[StencilLayer],
    stem: &str,
    how: How<'_>,
    pace: Option<WeedPace>,
) -> Result<Vec<Made>, Failure> {
    let language = Language::current();
    let one = |layer| language.scope(|| one(layer, stem, how, pace));
    let made: Vec<Vec<Made>> = layers.par_iter().map(one).collect::<Result<_, _>>()?;
    Ok(made.into_iter().flatten().collect())
}

/// What to tell of layers, and their files.
pub(super) fn told_and_files(made: Vec<Made>) -> (Vec<LayerEntry>, Files) {
    let (entries, files): (Vec<LayerEntry>, Vec<Files>) = made.into_iter().map(|made| (made.entry, made.files)).unzip();
    (entries, files.concat())
}

/// How, and in which forms.
type How<'a> = (&'a Making, &'a [Form]);

fn one(layer: &StencilLayer, stem: &str, how: How<'_>, pace: Option<WeedPace>) -> Result<Vec<Made>, Failure> {
    let making = how.0;
    let treated = treated(layer, &making.treatment);
    // A sheet that fits when it is turned is not parted.
    let parted = |tiling: &&Tiling| layer.weed_box.height_mm() > tiling.width.to_mm();
    let strips = match making.tiling.as_ref().filter(parted) {
        Some(tiling) => tiles(&treated.layer, tiling)?,
        None => vec![treated.layer.clone()],
    };
    let alone = strips.len() == 1;
    let strip = |(i, strip): (usize, StencilLayer)| {
        let number = (!alone).then_some(i + 1);
        let name = number.map_or(format!("{stem}-{}", layer.stage), |n| format!("{stem}-{}-strip-{n}", layer.stage));
        written(&strip, &treated, number, &name, how, pace)
    };
    strips.into_iter().enumerate().map(strip).collect()
}

fn written(
    layer: &StencilLayer,
    treated: &Treated,
    strip: Option<usize>,
    name: &str,
    (making, forms): How<'_>,
    pace: Option<WeedPace>,
) -> Result<Made, Failure> {
    let for_cutter = forms.contains(&Form::Plotter);
    let (strokes, work) = if for_cutter { cuts(layer, &making.bundle) } else { (Vec::new(), CutWork::default()) };
    let written = files(layer, forms, &strokes, &making.bundle)
        .map_err(|fault| Failure::Bundle { name: name.to_owned(), fault: Box::new(fault) })?;
    let plan = pace.map(|pace| weed_plan(&layer.openings, making.group, pace));
    let mut entries = Vec::new();
    let mut out = Vec::new();
    let mut push = |path: String, form: &'static str, off_mm: Option<f64>, bytes: Vec<u8>| {
        entries.push(FileEntry { path: path.clone(), form, off_mm, sha256: hex(&Sha256::digest(&bytes)) });
        out.push((path, bytes));
    };
    for file in written {
        push(format!("{name}.{}", file.form.ending()), file.form.ending(), Some(file.off_mm), file.bytes);
    }
    if let Some(plan) = &plan {
        let scene = weed(layer, plan, &WeedOptions::default());
        push(format!("{name}-weed.svg"), "weed", None, write(&scene, Colours::Resolved(Theme::Paper)).into_bytes());
    }
    let entry = LayerEntry {
        stage: layer.stage,
        name: layer.name.clone(),
        strip,
        width_mm: layer.weed_box.width_mm(),
        height_mm: layer.weed_box.height_mm(),
        turned: making.tiling.is_some_and(|tiling| layer.weed_box.width_mm() > tiling.width.to_mm() + 1e-6),
        open_area_mm2: layer.openings.area().to_square_mm(),
        lost_openings: treated.lost,
        bridges_mm: treated.bridges.iter().map(|at| [at.x, at.y]).collect(),
        cut: for_cutter.then(|| cut_entry(&work)),
        weed: plan.as_ref().map(weed_entry),
        files: entries,
    };
    let cut = for_cutter.then_some(work);
    Ok(Made { entry, files: out, layer: layer.clone(), weed: plan, cut })
}

fn cut_entry(work: &CutWork) -> CutEntry {
    CutEntry {
        lines: work.lines,
        cut_mm: work.cut_mm,
        travel_mm: work.travel_mm,
        travel_before_mm: work.travel_before_mm,
        travel_least_mm: work.travel_least_mm,
        travel_ratio: work.ratio(),
    }
}

fn weed_entry(plan: &WeedPlan) -> WeedEntry {
    let [time_s_low, time_s, time_s_high] = seconds(plan.time);
    let steps = plan.steps.iter().map(|step| {
        let [time_s_low, time_s, time_s_high] = seconds(step.time);
        WeedStepEntry {
            frame_mm: [step.frame.min.x, step.frame.min.y, step.frame.max.x, step.frame.max.y],
            openings: step.parts.len(),
            smallest_mm2: step.parts.first().map(|part| part.area.to_square_mm()),
            islands: step.islands,
            edge_mm: step.edge.to_mm(),
            time_s,
            time_s_low,
            time_s_high,
        }
    });
    WeedEntry { time_s, time_s_low, time_s_high, steps: steps.collect() }
}

fn seconds(time: Estimate<Time>) -> [f64; 3] {
    [time.low(), time.mid(), time.high()].map(Time::to_seconds)
}

impl LayerEntry {
    /// What is wrong with it, in words; a stop.
    pub(super) fn stop(&self) -> Option<String> {
        let lost = self.lost_openings;
        let place = match self.strip {
            Some(strip) => say!("stage {}, strip {strip}", self.stage),
            None => say!("stage {}", self.stage),
        };
        (lost > 0).then(|| {
            say_count!(
                lost,
                "{place}: {lost} opening is narrower than the line gain and would not come out; draw it wider or print \
                 with less gain",
                "{place}: {lost} openings are narrower than the line gain and would not come out; draw them wider or \
                 print with less gain"
            )
        })
    }

    /// In words.
    pub(super) fn told(&self, units: UnitSystem) -> String {
        let size = |mm: f64| Length::clamped(mm * 1e-3).show(units);
        let (stage, name) = (self.stage, &self.name);
        let (width, height) = (size(self.width_mm), size(self.height_mm));
        let open = Area::clamped(self.open_area_mm2 * 1e-6).show(units);
        let sheet = match self.strip {
            Some(strip) => say!("Stage {stage}, strip {strip}, {name}: sheet {width} x {height}, {open} open"),
            None => say!("Stage {stage}, {name}: sheet {width} x {height}, {open} open"),
        };
        let turned = self.turned.then(|| say!("lay its height across the roll").to_owned());
        let cut = self.cut.as_ref().map(|cut| {
            say!(
                "{} cuts, {}, travel {} ({:.2} of the least there can be; {} as drawn)",
                cut.lines,
                size(cut.cut_mm),
                size(cut.travel_mm),
                cut.travel_ratio,
                size(cut.travel_before_mm)
            )
        });
        let weed = self.weed.as_ref().map(|weed| {
            let minutes = |s: f64| significant(s / 60.0, 2);
            let (low, high) = (minutes(weed.time_s_low), minutes(weed.time_s_high));
            say_count!(
                weed.steps.len(),
                "weed {n} group in {low}–{high} min",
                "weed {n} groups in {low}–{high} min",
                n = weed.steps.len()
            )
        });
        let bridges = self.bridges_mm.len();
        let bridges = (bridges > 0).then(|| say_count!(bridges, "{bridges} bridge", "{bridges} bridges"));
        let parts = [Some(sheet), turned, cut, weed, bridges];
        parts.into_iter().flatten().collect::<Vec<_>>().join("; ") + "\n"
    }
}
