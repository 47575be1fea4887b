//! The files of a plan, made when they are asked for.

use crate::compose::{Size, preview_options, strip_options};
use crate::error::WebError;
use language::{Language, say};
use paper::{JobSheetOptions, Sheet, SheetLayer, cabinet_card, calibration_sheet, job_sheet};
use picture::preview::{self, Look, PreviewOptions, Setting, preview_png};
use picture::relief::mesh::{self, SolidOptions};
use picture::relief::{glb, map, stl};
use picture::run_strip::run_strip;
use picture::svg::{self, Colours};
use piece::{Shop, StencilMaking};
use plan::coupon_table::to_fill_in;
use plan::document::PlanDocument;
use plan::{Making, Plan, coupons_worth_blasting, words};
use reference::ResistKind;
use std::io::{Cursor, Write as _};
use stencil::bundle::{Form, cuts};
use stencil::cut::weed::{WeedPlan, weed_plan};
use stencil::layers::StencilLayer;
use stencil::treat::treated;
use zip::result::ZipError;
use zip::write::SimpleFileOptions;
use zip::{DateTime, ZipWriter};

/// A file's bytes and what they are.
#[derive(Debug)]
pub(crate) struct Made {
    pub kind: &'static str,
    pub bytes: Vec<u8>,
}

/// The plan for programs: in English whoever asks for it.
pub(crate) const PLAN: &str = "plan.json";

/// Names of a plan's files, each with what it is.
pub(crate) fn names(plan: &Plan) -> Vec<(String, String)> {
    let forms: [(Form, &str); 3] = match plan.recipe.resist.kind {
        ResistKind::PhotoFilm => [
            (Form::Svg, say!("the stencil in vectors")),
            (Form::FilmPdf, say!("film positive, to print at 100 %")),
            (Form::FilmTiff, say!("the same in dots")),
        ],
        _ => [
            (Form::Svg, say!("cut and weed")),
            (Form::Dxf, say!("the same as polylines")),
            (Form::Plotter, say!("for the cutter")),
        ],
    };
    let stencils = plan.stages.iter().flat_map(|stage| {
        let what = move |what: &str| format!("{what}: {}", words::stage_opens(plan, stage));
        forms.map(move |(form, words)| (stencil_name(stage.order, form), what(words)))
    });
    let fixed = [
        ("job-sheet.pdf", say!("for the bench, two pages")),
        ("cabinet-card.pdf", say!("for the wall beside the cabinet")),
        ("stencil-sheet.pdf", say!("what to weed in which order, what to cover")),
        ("run-strip.svg", say!("the strip, to print")),
        ("preview.png", say!("the piece as it will look")),
        ("relief.stl", say!("the solid, in millimetres")),
        ("relief.glb", say!("the solid, to turn and light in other programs")),
        ("calibration-sheet.pdf", say!("coupons that would narrow this plan, with room to write")),
        ("coupons.csv", say!("the same as a table, to fill in")),
        (PLAN, say!("every number, for programs")),
    ];
    stencils.chain(fixed.map(|(name, what)| (name.to_owned(), what.to_owned()))).collect()
}

fn stencil_name(stage: usize, form: Form) -> String {
    format!("stencil-{stage}.{}", form.ending())
}

/// Makes the file of a name.
///
/// # Errors
/// [`WebError::NotFound`] when the plan has no such file; what its writer says.
pub(crate) fn make(plan: &Plan, shop: &Shop, name: &str) -> Result<Made, WebError> {
    match name {
        "job-sheet.pdf" => sheet(plan),
        "cabinet-card.pdf" => pdf(cabinet_card(plan, Sheet::usual(plan.units), None)?),
        "calibration-sheet.pdf" => pdf(calibration_sheet(plan, Sheet::usual(plan.units), None)?),
        "coupons.csv" => Ok(Made { kind: "text/csv", bytes: to_fill_in(&coupons_worth_blasting(&plan.narrowing))? }),
        "stencil-sheet.pdf" => stencil_sheet(plan, shop),
        "run-strip.svg" => {
            let scene = run_strip(&plan.strip, &strip_options(plan.units));
            let text = svg::write(&scene, Colours::Resolved(picture::Theme::Paper));
            Ok(Made { kind: "image/svg+xml", bytes: text.into_bytes() })
        }
        "preview.png" => Ok(Made { kind: "image/png", bytes: preview(plan, Setting::default(), Size::Page)? }),
        "relief.stl" => {
            Ok(Made { kind: "model/stl", bytes: stl::write(&mesh::solid(&plan.relief, &SolidOptions::default())?) })
        }
        "relief.glb" => Ok(Made { kind: "model/gltf-binary", bytes: solid(plan, &SolidOptions::default())? }),
        PLAN => {
            let document = || serde_json::to_vec_pretty(&PlanDocument::new(plan, Vec::new()));
            Ok(Made { kind: "application/json", bytes: Language::English.scope(document)? })
        }
        name => stencil(plan, &shop.stencil, name),
    }
}

/// All files of a plan, packed, with the one for programs as they are to read it. The same plans give the same bytes.
///
/// # Errors
/// What a writer says.
pub(crate) fn all(plan: &Plan, for_programs: &Plan, shop: &Shop) -> Result<Vec<u8>, WebError> {
    let made = |(name, _): (String, String)| {
        let of = if name == PLAN { for_programs } else { plan };
        Ok((make(of, shop, &name)?.bytes, name))
    };
    let all = names(plan).into_iter().map(made).collect::<Result<Vec<(Vec<u8>, String)>, WebError>>()?;
    packed(all.iter().map(|(bytes, name)| (name.as_str(), bytes.as_slice())))
}

/// Files as one ZIP. The same files give the same bytes.
///
/// # Errors
/// What the packer says.
pub(crate) fn packed<'a>(files: impl Iterator<Item = (&'a str, &'a [u8])>) -> Result<Vec<u8>, WebError> {
    let options = SimpleFileOptions::default().last_modified_time(DateTime::default());
    let mut packed = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, bytes) in files {
        packed.start_file(name, options)?;
        packed.write_all(bytes).map_err(ZipError::from)?;
    }
    Ok(packed.finish()?.into_inner())
}

/// Each layer with its groups in the order of weeding, and the cover.
fn stencil_sheet(plan: &Plan, shop: &Shop) -> Result<Made, WebError> {
    let kind = plan.recipe.resist.kind;
    let making = Making::usual(&shop.stencil, kind, None);
    let weeded = |layer: &StencilLayer| {
        let ready = treated(layer, &making.treatment).layer;
        let weed = weed_plan(&ready.openings, making.group, Making::pace(&shop.hands, kind)?);
        Some((ready, weed))
    };
    let layers: Vec<(StencilLayer, WeedPlan)> = plan::stencils(plan)?.iter().filter_map(weeded).collect();
    let layers: Vec<SheetLayer<'_>> =
        layers.iter().map(|(layer, weed)| SheetLayer { layer, weed, cut: None }).collect();
    pdf(paper::stencil_sheet(plan, &layers, Sheet::usual(plan.units), None)?)
}

/// The stencil of a stage in one form, the shop's way, read back and compared before it is handed out. A sheet wider
/// than the cutter comes whole: strips are the command line's.
fn stencil(plan: &Plan, shop: &StencilMaking, name: &str) -> Result<Made, WebError> {
    const FORMS: [(Form, &str); 5] = [
        (Form::Svg, "image/svg+xml"),
        (Form::Dxf, "image/vnd.dxf"),
        (Form::Plotter, "application/octet-stream"),
        (Form::FilmPdf, "application/pdf"),
        (Form::FilmTiff, "image/tiff"),
    ];
    let layers = plan::stencils(plan)?;
    let named = layers.iter().flat_map(|layer| FORMS.map(|(form, kind)| (layer, form, kind)));
    let wanted = |(layer, form, _): &(&StencilLayer, Form, &str)| stencil_name(layer.stage, *form) == name;
    let (layer, form, kind) = named.into_iter().find(wanted).ok_or(WebError::NotFound)?;
    let making = Making::usual(shop, plan.recipe.resist.kind, None);
    let ready = treated(layer, &making.treatment).layer;
    let cuts = if form == Form::Plotter { cuts(&ready, &making.bundle).0 } else { Vec::new() };
    let mut files = stencil::bundle::files(&ready, &[form], &cuts, &making.bundle)?;
    Ok(Made { kind, bytes: files.remove(0).bytes })
}

/// The piece as it will look.
///
/// # Errors
/// When the encoder fails.
pub(crate) fn preview(plan: &Plan, setting: Setting, size: Size) -> Result<Vec<u8>, WebError> {
    let look = Look::of(plan.piece.blank.material);
    let options = PreviewOptions { setting, ..preview_options(plan.relief.body, size) };
    Ok(preview_png(&plan.relief, look, &options)?)
}

/// A solid that a browser turns without delay: 5 MB at most. Its finer shape is in [`depth_map`].
pub(crate) const ON_SCREEN: SolidOptions = SolidOptions { tolerance_mm: 0.004, triangles_max: 300_000 };

/// Pixels of a depth map along the blank's longer side.
const MAP_PX: u32 = 2048;

/// Depth over the blank, as a PNG.
///
/// # Errors
/// When the encoder fails.
pub(crate) fn depth_map(plan: &Plan) -> Result<Vec<u8>, WebError> {
    Ok(preview::png(&map::map(&plan.relief, MAP_PX)?)?)
}

/// The piece as a solid, as binary glTF.
///
/// # Errors
/// When it goes through its blank.
pub(crate) fn solid(plan: &Plan, options: &SolidOptions) -> Result<Vec<u8>, WebError> {
    Ok(glb::write(&mesh::solid(&plan.relief, options)?)?)
}

fn pdf(bytes: Vec<u8>) -> Result<Made, WebError> {
    Ok(Made { kind: "application/pdf", bytes })
}

fn sheet(plan: &Plan) -> Result<Made, WebError> {
    let options = JobSheetOptions {
        sheet: Sheet::usual(plan.units),
        preview: &preview(plan, Setting::default(), Size::Page)?,
        date: None,
    };
    pdf(job_sheet(plan, &options)?)
}
