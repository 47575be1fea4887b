//! A bowl in gores: the strain of their edges, and the fewest that the film takes.

use super::{
    DevelopArguments, DevelopDocument, GoresEntry, Laid, Shown, TOLERANCE_MM, diameter, laying, lifted, parts,
};
use crate::commands::quantity;
use crate::error::Failure;
use artwork::bounds::Bounds;
use artwork::region::Region;
use language::say;
use picture::turned::Hoop;
use quantity::Fraction;
use stencil::vessel::gore_sheet::GoreSheet;
use stencil::vessel::gores::{Bowl, GoreCheck, Gores};

/// Gores when the film takes no strain at all and none were asked for.
const MANY: usize = 36;

pub(super) fn lay(arguments: &DevelopArguments, text: &str, art: &Region, around: Bounds) -> Result<Laid, Failure> {
    let [rim, foot, height] = parts("--bowl", text, say!("three sizes such as 160mm,60mm,70mm"))?;
    let bowl = Bowl::new(diameter("--bowl", rim)?, diameter("--bowl", foot)?, quantity("--bowl", height)?)?;
    let limit: Fraction = quantity("--strain", &arguments.strain)?;
    // Any number tells the fewest that hold.
    let fewest = Gores::new(bowl, 3)?.check(limit).least_count;
    let count = arguments.gores.or(fewest).unwrap_or(MANY);
    let gores = Gores::new(bowl, count)?;
    let check = gores.check(limit);
    let laying = laying(arguments, around, bowl.side_mm())?;
    let laid = gores.lay(art, laying.middle, laying.down, laying.true_at, TOLERANCE_MM)?;
    let beside = GoreSheet::of(&gores, std::slice::from_ref(&laid), TOLERANCE_MM);
    let (sheet, cuts, gore) = (beside.sheet(&laid), beside.cuts(), beside.gore());
    let true_radius_mm = bowl.radius_mm(laying.true_at.to_mm());
    let ends = [0.0, around.height_mm()].map(|mm| bowl.radius_mm(laying.down.to_mm() + mm) / true_radius_mm);
    let document = DevelopDocument {
        vessel: "bowl",
        side_mm: bowl.side_mm(),
        sheet_width_mm: gore.width_mm(),
        sheet_height_mm: gore.height_mm(),
        stretch_least: ends[0].min(ends[1]).min(1.0),
        stretch_most: ends[0].max(ends[1]).max(1.0),
        gores: Some(GoresEntry {
            count,
            strain_largest: gores.largest_strain(),
            strain_mean: gores.mean_strain(),
            strain_max: limit.to_ratio(),
            holds: check.holds,
            count_least: check.least_count,
        }),
        stops: (!check.holds).then(|| folds(&gores, &check)).into_iter().collect(),
        ..DevelopDocument::default()
    };
    let body = Shown {
        artwork: lifted(art, &laying),
        true_radius_mm,
        profile: Box::new(move |mm| Hoop { radius_mm: bowl.radius_mm(mm), down_mm: bowl.upright_mm(mm) }),
        handle: None,
    };
    Ok(Laid { document, sheet, cuts, body })
}

fn folds(gores: &Gores, check: &GoreCheck) -> String {
    let folds = say!(
        "the gores' edges are {:.2} % too long at worst, the film takes {:.2} %: it would fold",
        100.0 * gores.largest_strain(),
        check.limit.to_percent()
    );
    match check.least_count {
        Some(least) => format!("{folds}; {}", say!("take {least} gores")),
        None => format!(
            "{folds}; {}",
            say!("a film that takes no strain covers no bowl; take small patches or a softer film")
        ),
    }
}
