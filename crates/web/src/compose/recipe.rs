//! The recipe's sentences, with what is written, what the plan chose and what the shop offers.

use crate::form::{Field, Kind, PLACE, fields, in_unit, shown, tidy, value_in};
use crate::planner::Question;
use crate::view::{Choice, Control, Layer, Line, Recipe, Slider};
use language::{say, say_count};
use piece::piece_file::{DepthPart, PieceFile};
use plan::Plan;
use quantity::show::bore;
use quantity::{GaugePressure, Length};

/// Least pressure on the slider, in each unit: a blast carries no abrasive to speak of below it.
const LEAST_BAR: f64 = 0.5;
const LEAST_PSI: f64 = 8.0;

/// The recipe with its controls; without a plan, what it would choose is not known.
pub(super) fn recipe(question: &Question, plan: Option<&Plan>) -> Recipe {
    let Question { stored, tried, .. } = question;
    let file = piece::reader::read::<PieceFile>(&stored.piece_toml, "piece.toml").map(|read| read.value);
    let lines = file.iter().flat_map(|file| fields(file).into_iter().map(|field| line(question, plan, file, field)));
    let lines = lines.filter(|line| !has_no_choice(line));
    // What a page read stays its own, until it was told that there is a newer one.
    let read = tried.sent.get("revision").and_then(|number| number.parse().ok()).unwrap_or(stored.revision);
    let stale = (read < stored.revision).then(|| {
        say!(
            "This piece was changed in another window since you opened it. Keeping lays what you try over the newer \
             revision, and asks first."
        )
        .to_owned()
    });
    Recipe {
        piece: format!("/piece/{}", stored.id),
        revision: read.min(stored.revision),
        changed: !tried.changes.is_empty(),
        reads: tried.piece.is_ok(),
        centred: tried.changes.iter().any(|(name, _)| name == PLACE),
        can_undo: question.can_undo,
        can_redo: question.can_redo,
        message: tried.piece.as_ref().err().and_then(|faults| faults.get("")).cloned().or(stale),
        lines: lines.collect(),
    }
}

/// Whether a control leaves nothing to choose, as where a piece of one stage has no last ones.
fn has_no_choice(line: &Line) -> bool {
    matches!(&line.control, Control::Choice { open: None, options } if options.len() < 2)
}

fn line(question: &Question, plan: Option<&Plan>, file: &PieceFile, field: Field) -> Line {
    let fault = question.tried.piece.as_ref().err().and_then(|faults| faults.get(&field.name)).cloned();
    let (lead, label, tail) = words(&field, file);
    let control = match field.kind {
        None => choice(question, plan, &field),
        Some(kind) => number(question, plan, file, &field, kind, fault.is_some()),
    };
    Line { field: field.name, lead, label, tail, control, fault }
}

/// The words around a control: before it, for those who hear it, after it.
fn words(field: &Field, file: &PieceFile) -> (&'static str, String, &'static str) {
    let said = |lead, label: &str, tail| (lead, label.to_owned(), tail);
    match field.name.as_str() {
        "resist" => said(say!("mask with"), say!("Resist"), ""),
        "grit" => said(say!("blast with"), say!("Abrasive and grit"), ""),
        "finish" => said(say!("finish with"), say!("Abrasive and grit of the last stages"), ""),
        "nozzle" => said(say!(in "blast through a nozzle", "through"), say!("Nozzle"), ""),
        "pressure" => said(say!(in "a pressure", "at"), say!("Pressure on the regulator"), ""),
        "standoff" => {
            said(say!(in "a standoff", "from"), say!("Standoff, nozzle to work"), say!(in "a standoff", "away"))
        }
        "width" => said(say!("drawn"), say!("Width of the drawing"), say!(in "the drawing", "wide")),
        "left" => said(say!("placed"), say!("From the blank's left edge to the drawing's"), say!("from the left")),
        "top" => said(
            say!(in "placed from the left, and", "and"),
            say!("From the blank's top edge to the drawing's"),
            say!("from the top"),
        ),
        "material" => said(say!(in "on a material", "on"), say!("What the blank is made of"), ""),
        "blank-width" => {
            said(say!(in "a blank's width", "of"), say!("Width of the blank"), say!(in "the blank", "wide"))
        }
        "blank-height" => said(say!(in "a blank's height", "by"), say!("Height of the blank"), say!("high")),
        "thickness" => said(say!(in "a blank's thickness", "and"), say!("Thickness of the blank"), say!("thick")),
        "side" => said(say!(in "the side that is carved", "from"), say!("Side that is carved"), ""),
        "quantity" => {
            said(say!(in "a number of pieces", "make"), say!("How many"), say!(in "a number of pieces", "of it"))
        }
        _ => {
            let layer = row(field, file).map(layer_name).unwrap_or_default();
            (say!(in "a layer to a depth", "carve"), say!("Depth of {layer}"), "")
        }
    }
}

/// The row of the file's depths that a field is for.
fn row<'a>(field: &Field, file: &'a PieceFile) -> Option<&'a DepthPart> {
    let row: usize = field.name.strip_prefix("depth-")?.parse().ok()?;
    file.depth.get(row.checked_sub(1)?)
}

fn layer_name(part: &DepthPart) -> String {
    part.layer.clone().or_else(|| part.colour.clone()).unwrap_or_default()
}

fn choice(question: &Question, plan: Option<&Plan>, field: &Field) -> Control {
    let Question { shop, tried, .. } = question;
    let value = value_in(&tried.text, field);
    let option = |id: String, words: String| Choice { selected: same(&id, &value), value: id, words };
    // What the blank is cannot be left to the plan.
    let given: Option<Vec<Choice>> = match field.name.as_str() {
        "material" => {
            Some(reference::tables().materials.iter().map(|row| option(row.id.clone(), row.name.to_string())).collect())
        }
        "finish" => Some(finishes(question, plan, &value)),
        "side" => Some(
            [("front", say!(in "carved from", "the front")), ("back", say!(in "carved from", "the back"))]
                .map(|(id, words)| option(id.into(), words.into()))
                .into(),
        ),
        _ => None,
    };
    if let Some(options) = given {
        return Control::Choice { open: None, options };
    }
    let (options, chosen): (Vec<Choice>, Option<String>) = match field.name.as_str() {
        "resist" => (
            shop.resists.iter().map(|stock| option(stock.resist.id.clone(), stock.resist.name.to_string())).collect(),
            plan.map(|plan| plan.recipe.resist.name.to_string()),
        ),
        "grit" => (
            shop.abrasives
                .iter()
                .map(|stock| {
                    let id = format!("{} {}", stock.abrasive.id, stock.grit.name);
                    option(id, format!("{} {}", stock.abrasive.name, stock.grit.name))
                })
                .collect(),
            plan.map(|plan| format!("{} {}", plan.recipe.abrasive.name, plan.recipe.grit.name)),
        ),
        _ => (
            shop.nozzles
                .iter()
                .map(|nozzle| {
                    option(nozzle.name.clone(), format!("{}, {}", nozzle.name, bore(nozzle.bore, shop.units)))
                })
                .collect(),
            plan.map(|plan| plan.recipe.nozzle.name.clone()),
        ),
    };
    let open = match chosen {
        Some(chosen) if value.is_empty() => say!("{chosen} – the plan’s choice"),
        _ => say!("let the plan choose").to_owned(),
    };
    Control::Choice { open: Some(open), options }
}

/// The abrasives of a piece's last stages: what is written, then each in stock for each number of stages that leaves some
/// for the first. A piece of one stage has no choice.
fn finishes(question: &Question, plan: Option<&Plan>, value: &str) -> Vec<Choice> {
    let most = plan.map_or(1, |plan| plan.stages.len()).saturating_sub(1);
    let option = |stages: usize, id: &str, grit: &str| {
        let name = reference::tables().abrasive(id).map_or_else(|_| id.to_owned(), |row| row.name.to_string());
        let words = say_count!(stages, "{name} {grit}, last stage", "{name} {grit}, last {n} stages", n = stages);
        let value_of = format!("{stages} {id} {grit}");
        Choice { selected: same(&value_of, value), value: value_of, words }
    };
    let alone =
        Choice { selected: value.is_empty(), value: String::new(), words: say!("the same, to the end").to_owned() };
    let stock = question.shop.abrasives.iter();
    let mut all: Vec<Choice> = (1..=most)
        .flat_map(|stages| stock.clone().map(move |one| option(stages, &one.abrasive.id, &one.grit.name)))
        .collect();
    // What is written stays to be seen, whether it can be or not.
    if let (false, [stages, id, grit]) =
        (all.iter().any(|one| one.selected), value.splitn(3, ' ').collect::<Vec<_>>().as_slice())
    {
        all.push(option(stages.parse().unwrap_or(1), id, grit));
    }
    std::iter::once(alone).chain(all).collect()
}

/// A recipe's abrasive of the last stages, as a field of the form.
pub(super) fn finish(recipe: &plan::Recipe) -> String {
    let one = |finish: piece::Finish| format!("{} {} {}", finish.stages, finish.abrasive.id, finish.grit.name);
    recipe.finish.map(one).unwrap_or_default()
}

/// Whether a written value is this option: a grit may be written "#150" or "150".
fn same(option: &str, written: &str) -> bool {
    let parts = |text: &str| {
        let (head, grit) = text.rsplit_once(' ').unwrap_or((text, ""));
        (head.to_owned(), reference::tables().grit(grit).map_or(grit.to_owned(), |grit| grit.name.clone()))
    };
    option == written || parts(option) == parts(written)
}

fn number(
    question: &Question,
    plan: Option<&Plan>,
    file: &PieceFile,
    field: &Field,
    kind: Kind,
    faulty: bool,
) -> Control {
    let units = question.shop.units;
    let written = value_in(&question.tried.text, field);
    // A value that does not read is shown again as it was typed.
    let typed = question.tried.sent.get(&field.name).filter(|_| faulty);
    let value = typed.cloned().unwrap_or_else(|| shown(field, &written, units));
    let chosen = plan.map(|plan| chosen(question, plan, field, kind)).unwrap_or_default();
    let layer = row(field, file).map(|row| layer(file, row, &written));
    let slider =
        (kind == Kind::Pressure).then(|| slider(question, read(&value).or_else(|| read(&chosen)).unwrap_or(0.0)));
    Control::Number { value, chosen, unit: kind.unit(units), step: kind.step(units), slider, layer }
}

/// A number as a field shows it, whatever its decimal mark.
fn read(shown: &str) -> Option<f64> {
    shown.replace(',', ".").parse().ok()
}

/// What the plan took where nothing is written.
fn chosen(question: &Question, plan: &Plan, field: &Field, kind: Kind) -> String {
    let unit = kind.unit(question.shop.units);
    match field.name.as_str() {
        "pressure" => tidy(in_unit(plan.recipe.pressure, unit), 3),
        "standoff" => tidy(in_unit(plan.recipe.standoff, unit), 3),
        "width" => {
            let drawing = &question.drawing;
            let width_mm = match plan.piece.placing.height {
                Some(height) => height.to_mm() * drawing.width_mm / drawing.height_mm,
                None => drawing.width_mm,
            };
            Length::mm(width_mm).map(|width| tidy(in_unit(width, unit), 3)).unwrap_or_default()
        }
        "left" | "top" => say!("centred").to_owned(),
        _ => String::new(),
    }
}

/// A layer with its share of the deepest one on the ramp.
fn layer(file: &PieceFile, row: &DepthPart, written: &str) -> Layer {
    let depth = written.parse().unwrap_or(row.depth);
    let deepest = file.depth.iter().map(|part| part.depth.to_mm()).fold(f64::MIN_POSITIVE, f64::max);
    Layer { name: layer_name(row), ramp: super::seen::ramp_step(depth.to_mm() / deepest) }
}

fn slider(question: &Question, at: f64) -> Slider {
    let units = question.shop.units;
    let unit = Kind::Pressure.unit(units);
    let least = if unit == "psi" { LEAST_PSI } else { LEAST_BAR };
    let cut_in = question.shop.compressors.iter().map(|compressor| in_unit(compressor.cut_in, unit));
    let greatest = cut_in.fold(in_unit(quantity::known(GaugePressure::bar(8.0)), unit), f64::min);
    let step = Kind::Pressure.step(units);
    Slider { least, greatest: (greatest / step).floor() * step, at }
}
