//! A cone or a cylinder: unrolled without strain, with a gap where a handle stands.

use super::{DevelopArguments, DevelopDocument, Laid, Shown, TOLERANCE_MM, laying, lifted, parts};
use crate::commands::quantity;
use crate::error::Failure;
use artwork::Affine;
use artwork::bounds::Bounds;
use artwork::region::Region;
use language::say;
use picture::turned::{Hoop, TurnedHandle};
use quantity::show::Show as _;
use quantity::{Area, Quantity as _, UnitSystem};
use stencil::vessel::frustum::{Frustum, OnSide};
use stencil::vessel::handle::Handle;
use stencil::vessel::lay::{along_rim, outline};

pub(super) fn lay(arguments: &DevelopArguments, glass: Frustum, art: &Region, around: Bounds) -> Result<Laid, Failure> {
    let film = glass.under_film(quantity("--film", &arguments.film)?);
    let laying = laying(arguments, around, glass.slant_mm())?;
    let true_mm = laying.true_at.to_mm();
    let longer = film.radius_mm(true_mm) / glass.radius_mm(true_mm);
    // An angle of the glass is longer on the film, whose middle lies further out.
    let laid = along_rim(&art.transform(about(laying.middle.x, longer)), &film, &laying, TOLERANCE_MM)?;
    let handle = handle(arguments)?;
    let whole = arguments.whole_sheet.then(|| match &handle {
        Some(handle) => handle.sheet(&film, TOLERANCE_MM),
        None => outline(&film, TOLERANCE_MM),
    });
    let under = handle.map_or(0.0, |handle| handle.covered(&film, &laid.sheet).to_square_mm());
    let (sheet_width_mm, sheet_height_mm) = film.sheet_mm();
    let radii = film.radii_mm();
    let document = DevelopDocument {
        vessel: if arguments.cone.is_some() { "cone" } else { "cylinder" },
        side_mm: glass.slant_mm(),
        sheet_width_mm,
        sheet_height_mm,
        outer_radius_mm: radii.map(|radii| radii.0),
        inner_radius_mm: radii.map(|radii| radii.1),
        sector_deg: radii.map(|_| film.sector().to_degrees()),
        stretch_least: laid.stretch.0,
        stretch_most: laid.stretch.1,
        free_mm: handle.map(|handle| handle.free_mm(&glass, 0.5 * (handle.from.to_mm() + handle.to.to_mm()))),
        under_handle_mm2: under,
        stops: (under > 0.0).then(|| under_handle(under, arguments.units.system())).into_iter().collect(),
        ..DevelopDocument::default()
    };
    let body = Shown {
        artwork: lifted(art, &laying),
        true_radius_mm: glass.radius_mm(true_mm),
        profile: Box::new(move |down_mm| hoop(&glass, down_mm)),
        handle: handle.map(|handle| TurnedHandle {
            half_mm: 0.5 * handle.width.to_mm() + handle.clear.to_mm(),
            down_mm: (handle.from.to_mm(), handle.to.to_mm()),
        }),
    };
    Ok(Laid { document, sheet: laid.sheet, cuts: whole.iter().flat_map(Region::rings).cloned().collect(), body })
}

fn hoop(glass: &Frustum, down_mm: f64) -> Hoop {
    Hoop { radius_mm: glass.radius_mm(down_mm), down_mm: glass.space_mm(OnSide { azimuth: 0.0, down_mm })[1] }
}

fn under_handle(mm2: f64, units: UnitSystem) -> String {
    let area = Area::clamped(mm2 * 1e-6).show(units);
    say!("{area} of the artwork lie under the handle; make it narrower or move it away from there")
}

fn about(x_mm: f64, scale: f64) -> Affine {
    Affine::translate((x_mm * (1.0 - scale), 0.0)) * Affine::scale_non_uniform(scale, 1.0)
}

fn handle(arguments: &DevelopArguments) -> Result<Option<Handle>, Failure> {
    let Some(text) = &arguments.handle else { return Ok(None) };
    let [width, from, to] = parts("--handle", text, say!("a width and two heights such as 16mm,20mm,80mm"))?;
    Ok(Some(Handle {
        width: quantity("--handle", width)?,
        from: quantity("--handle", from)?,
        to: quantity("--handle", to)?,
        clear: quantity("--clear", &arguments.clear)?,
    }))
}
