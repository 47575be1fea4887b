//! Pictures of a plan on the page, and what lies under a pointer on them.

use crate::planner::Question;
use crate::view::{CutForm, KeyStep, Lies, Picture, PlacingFrame, Probe, Sheet, Solid, Strip};
use artwork::grid::Point;
use language::say;
use picture::Theme;
use picture::marked::{self, MarkedOptions, marked, stage_thumbnail};
use picture::preview::{Look, PreviewOptions, Setting};
use picture::run_strip::{StripOptions, read_at, run_strip, time_axis};
use picture::section::{Cut, SectionOptions, section};
use picture::svg::{self, Colours, RAMP_STEPS};
use piece::{Body, Side};
use plan::carving::{Ground, Reading};
use plan::{Plan, RunStrip, words};
use quantity::show::{Show, clock};
use quantity::{Length, Quantity, Time, UnitSystem};

/// How large a piece is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Size {
    /// On its own page.
    Page,
    /// Among others, in a row.
    Shelf,
}

impl Size {
    /// Longer side of the picture in pixels: sharp on a large screen of usual density; in a row on one of twice that.
    const fn longer_px(self) -> f64 {
        match self {
            Self::Page => 1400.0,
            Self::Shelf => 560.0,
        }
    }
}

/// Ground around the blank in both pictures, as a share of its longer side.
const MARGIN: f64 = 0.03;

/// How the preview on the page is drawn; the same for the pointer's place on it.
pub(crate) fn preview_options(body: Body, size: Size) -> PreviewOptions {
    let (wide, high) = (body.sheet_width_mm(), body.sheet_height_mm());
    let share = match body {
        Body::Panel { .. } => (wide / high).min(1.0),
        Body::Tumbler { .. } => 0.7,
        Body::Bowl { .. } => 1.0,
    };
    PreviewOptions {
        width_px: (size.longer_px() * share).round() as u32,
        height_px: None,
        margin: MARGIN,
        setting: Setting::default(),
    }
}

pub(super) fn picture(question: &Question, plan: &Plan) -> Picture {
    let body = plan.relief.body;
    let frame = preview_options(body, Size::Page).frame(body);
    let flat = matches!(body, Body::Panel { .. });
    let lies = || lies(body, frame.origin, (frame.width_mm(), frame.height_mm()));
    Picture {
        carved: question.address("/preview.png"),
        pixels: (frame.width_px, frame.height_px),
        drawn: question.address("/drawn.svg"),
        alt: alt(plan),
        solid: solid(question, plan),
        cut: cut(question, plan),
        placing: placing(question, plan),
        probe: flat.then(|| Probe { address: question.address("/at"), lies: lies() }),
        sheet: (!flat).then(|| sheet(body)),
        key: key(plan),
    }
}

fn lies(body: Body, corner: Point, span_mm: (f64, f64)) -> Lies {
    Lies { origin_mm: (corner.x, corner.y), span_mm, blank_mm: (body.sheet_width_mm(), body.sheet_height_mm()) }
}

/// The vessel's side as [`drawn`] shows it.
fn sheet(body: Body) -> Sheet {
    let (corner, span) = marked::shown(body, &DRAWN);
    let longer = Size::Page.longer_px();
    let pixels = (longer, longer * span.y / span.x);
    Sheet { pixels: (pixels.0.round() as u32, pixels.1.round() as u32), lies: lies(body, corner, (span.x, span.y)) }
}

fn solid(question: &Question, plan: &Plan) -> Solid {
    let look = Look::of(plan.piece.blank.material);
    Solid {
        address: question.address("/solid.glb"),
        depths: question.address("/depth.png"),
        look: match look {
            _ if look.is_stone() => "stone",
            Look::Mirror => "mirror",
            _ => "glass",
        },
        side: match plan.relief.side {
            Side::Front => "front",
            Side::Back => "back",
        },
    }
}

/// The unit of lengths that are typed, and its millimetres.
pub(super) const fn length_unit(units: UnitSystem) -> (&'static str, f64) {
    match units {
        UnitSystem::Metric => ("mm", 1.0),
        UnitSystem::Us => ("in", 25.4),
    }
}

/// The drawing's frame, where the plan puts it: centred unless a place is given.
fn placing(question: &Question, plan: &Plan) -> PlacingFrame {
    let (drawing, placed, body) = (&question.drawing, &plan.piece.placing, plan.relief.body);
    let scale = match (placed.width, placed.height) {
        (Some(width), _) => width.to_mm() / drawing.width_mm,
        (None, Some(height)) => height.to_mm() / drawing.height_mm,
        (None, None) => 1.0,
    };
    let (width, height) = (drawing.width_mm * scale, drawing.height_mm * scale);
    let start = |given: Option<Length>, whole: f64, size: f64| given.map_or(0.5 * (whole - size), |at| at.to_mm());
    PlacingFrame {
        left: start(placed.left, body.sheet_width_mm(), width),
        top: start(placed.top, body.sheet_height_mm(), height),
        width,
        height,
        unit_mm: length_unit(plan.units).1,
    }
}

/// A cut straight across the middle of the artwork, to begin with.
fn cut(question: &Question, plan: &Plan) -> CutForm {
    let (grid, body) = (plan.relief.depth_mm.grid, plan.relief.body);
    let (unit, unit_mm) = length_unit(plan.units);
    let (wide, high) = (body.sheet_width_mm(), body.sheet_height_mm());
    let told = |mm: f64| format!("{:.*}", if unit_mm > 1.0 { 3 } else { 1 }, mm / unit_mm);
    let y = (grid.origin.y + 0.5 * grid.cell * grid.height as f64).clamp(0.0, high);
    let x = |mm: f64| told(mm.clamp(0.0, wide));
    CutForm {
        drawing: question.address("/section.svg"),
        values: question.full_address("/section.csv"),
        kept: question.tried.changes.clone(),
        unit,
        unit_mm,
        ends: [x(grid.origin.x), told(y), x(grid.origin.x + grid.cell * grid.width as f64), told(y)],
        blank: (told(wide), told(high)),
    }
}

/// A cut through the piece, as SVG that takes the page's colours.
pub(crate) fn section_drawing(ground: &Ground, readings: &[Reading], units: UnitSystem) -> String {
    let cut = Cut { readings, layers: ground.layers(), thickness: ground.thickness() };
    let options = SectionOptions { width_mm: 240.0, text_mm: 3.4, units };
    svg::write(&section(&cut, &options), Colours::Properties)
}

/// How the artwork as drawn is drawn: its words are 11 px on a usual screen.
const DRAWN: MarkedOptions =
    MarkedOptions { width_mm: 180.0, height_mm: 270.0, text_mm: 2.7, margin: MARGIN, key: false, places: 3 };

/// The artwork as drawn, as SVG, where the preview shows the same piece.
pub(crate) fn drawn(plan: &Plan) -> String {
    svg::write(&marked(plan, &DRAWN), Colours::Resolved(Theme::Dark))
}

/// What is open in a stage, by its index, as SVG.
pub(crate) fn thumbnail(plan: &Plan, stage: usize) -> String {
    let body = plan.relief.body;
    let wide = (24.0 * body.sheet_width_mm() / body.sheet_height_mm()).clamp(30.0, 60.0);
    svg::write(&stage_thumbnail(plan, stage, wide, 24.0), Colours::Resolved(Theme::Dark))
}

fn alt(plan: &Plan) -> String {
    let layer = |layer: &plan::LayerPlan| {
        say!("{layer} {depth} deep", layer = layer.name, depth = layer.target.show(plan.units))
    };
    let layers: Vec<String> = plan.layers.iter().map(layer).collect();
    say!("{piece} as it will look: {layers}", piece = plan.piece.name, layers = layers.join(", "))
}

/// The layers' depths on the ramp, deepest first.
fn key(plan: &Plan) -> Vec<KeyStep> {
    let deepest = plan.layers.iter().map(|layer| layer.target.to_mm()).fold(f64::MIN_POSITIVE, f64::max);
    let step = |layer: &plan::LayerPlan| KeyStep {
        ramp: ramp_step(layer.target.to_mm() / deepest),
        name: layer.name.clone(),
        depth: layer.target.show_digits(plan.units, 2).to_string(),
        reached: layer.reach.wide.show(plan.units),
    };
    plan.layers.iter().map(step).collect()
}

/// Step of the depth ramp for a share of the deepest depth.
pub(super) fn ramp_step(share: f64) -> u32 {
    (share.clamp(0.0, 1.0) * f64::from(RAMP_STEPS)).round() as u32
}

/// The strip across the page: its words are 14 px high where it is 1200 px wide.
pub(crate) fn strip_options(units: UnitSystem) -> StripOptions {
    StripOptions { width_mm: 330.0, text_mm: 3.8, units, ..StripOptions::default() }
}

pub(super) fn strip(question: &Question, plan: &Plan) -> Strip {
    let options = strip_options(plan.units);
    let scene = run_strip(&plan.strip, &options);
    let axis = time_axis(&plan.strip, &options);
    Strip {
        drawing: svg::write(&scene, Colours::Properties),
        read: question.address("/instant"),
        axis: (axis.left_mm / scene.width_mm, axis.right_mm / scene.width_mm),
    }
}

/// What all lanes hold at a share of the run: a line each, its name, a tab, its value.
pub(crate) fn instant(strip: &RunStrip, share: f64, units: UnitSystem) -> String {
    let time = Time::clamped(share.clamp(0.0, 1.0) * strip.length.to_seconds());
    let read = read_at(strip, time);
    let percent = |share: Option<f64>| share.map(|share| format!("{:.0}\u{202f}%", share * 100.0));
    let hands = read.hands.map(|block| say!("{act}, stage {stage}", act = words::act(block.act), stage = block.stage));
    let mut lanes =
        vec![(say!(in "an instant", "at").to_owned(), Some(clock(time))), (say!("hands").to_owned(), hands)];
    let depths = strip.depth.iter().zip(&read.depth);
    lanes.extend(
        depths.map(|(line, depth)| (line.name.clone(), depth.map(|depth| depth.show_digits(units, 2).to_string()))),
    );
    let shut = || say!(in "a nozzle", "shut").to_owned();
    let door = if read.door_may_open { say!("may be opened") } else { say!("stays shut") };
    lanes.extend([
        (say!("receiver").to_owned(), read.receiver.map(|pressure| pressure.show(units).to_string())),
        (say!("nozzle").to_owned(), Some(read.nozzle.map_or_else(shut, |pressure| pressure.show(units).to_string()))),
        (say!("resist left").to_owned(), percent(read.resist_left)),
        (say!("dust").to_owned(), percent(read.dust)),
        (say!("door").to_owned(), Some(door.to_owned())),
    ]);
    let said = lanes.into_iter().filter_map(|(name, value)| value.map(|value| format!("{name}\t{value}")));
    said.collect::<Vec<_>>().join("\n")
}

/// What lies at a place of the blank: the place, the layer, its depth.
pub(crate) fn place_words(plan: &Plan, at: Point) -> String {
    let units = plan.units;
    let side = |mm: f64| Length::mm(mm.max(0.0)).map(|side| side.show_digits(units, 4).to_string()).unwrap_or_default();
    let relief = &plan.relief;
    let depth = relief.depth_mm.at(at).map(f64::from).filter(|mm| *mm > 0.0);
    let layer = relief.layer.at(at).and_then(|layer| plan.layers.get(usize::from(layer).wrapping_sub(1)));
    let under = match (layer, depth.and_then(|mm| Length::mm(mm).ok())) {
        (Some(layer), Some(depth)) => {
            say!("{layer} {depth} deep", layer = layer.name, depth = depth.show_digits(units, 2))
        }
        (None, Some(depth)) => say!("undercut {depth} deep", depth = depth.show_digits(units, 2)),
        _ => say!(in "a place of the blank", "covered").to_owned(),
    };
    format!("x {}   y {}   {under}", side(at.x), side(at.y))
}
