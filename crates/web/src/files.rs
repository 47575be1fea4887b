//! The files of a plan, made when they are asked for.

use crate::compose::{preview_options, strip_options};
use crate::error::WebError;
use paper::{JobSheetOptions, Sheet, job_sheet};
use picture::preview::{Look, preview_png};
use picture::run_strip::run_strip;
use picture::svg::{self, Colours};
use plan::document::PlanDocument;
use plan::{Plan, words};
use stencil::verify::verified;

/// A file's bytes and what they are.
#[derive(Debug)]
pub(crate) struct Made {
    pub kind: &'static str,
    pub bytes: Vec<u8>,
}

/// Names of a plan's files, each with what it is.
pub(crate) fn names(plan: &Plan) -> Vec<(String, String)> {
    let stages = plan.stages.iter();
    let stencils =
        stages.map(|stage| (stencil_name(stage.order), format!("cut and weed: {}", words::stage_opens(plan, stage))));
    let fixed = [
        ("job-sheet.pdf", "for the bench, two pages"),
        ("run-strip.svg", "the strip, to print"),
        ("preview.png", "the piece as it will look"),
        ("plan.json", "every number, for programs"),
    ];
    stencils.chain(fixed.map(|(name, what)| (name.to_owned(), what.to_owned()))).collect()
}

fn stencil_name(stage: usize) -> String {
    format!("stencil-{stage}.svg")
}

/// Makes the file of a name.
///
/// # Errors
/// [`WebError::NotFound`] when the plan has no such file; what its writer says.
pub(crate) fn make(plan: &Plan, name: &str) -> Result<Made, WebError> {
    match name {
        "job-sheet.pdf" => sheet(plan),
        "run-strip.svg" => {
            let scene = run_strip(&plan.strip, &strip_options(plan.units));
            let text = svg::write(&scene, Colours::Resolved(picture::Theme::Paper));
            Ok(Made { kind: "image/svg+xml", bytes: text.into_bytes() })
        }
        "preview.png" => Ok(Made { kind: "image/png", bytes: preview(plan)? }),
        "plan.json" => {
            let document = PlanDocument::new(plan, Vec::new());
            Ok(Made { kind: "application/json", bytes: serde_json::to_vec_pretty(&document)? })
        }
        name => stencil(plan, name),
    }
}

/// The stencil of a stage, read back and compared before it is handed out.
fn stencil(plan: &Plan, name: &str) -> Result<Made, WebError> {
    let layers = plan::stencils(plan)?;
    let layer = layers.iter().find(|layer| stencil_name(layer.stage) == name).ok_or(WebError::NotFound)?;
    Ok(Made { kind: "image/svg+xml", bytes: verified(layer)?.svg().as_bytes().to_vec() })
}

/// The piece as it will look.
///
/// # Errors
/// When the encoder fails.
pub(crate) fn preview(plan: &Plan) -> Result<Vec<u8>, WebError> {
    let look = Look::of(plan.piece.blank.material);
    Ok(preview_png(&plan.relief, look, &preview_options(plan.relief.body))?)
}

fn sheet(plan: &Plan) -> Result<Made, WebError> {
    let options = JobSheetOptions { sheet: Sheet::usual(plan.units), preview: &preview(plan)?, date: None };
    Ok(Made { kind: "application/pdf", bytes: job_sheet(plan, &options)? })
}
