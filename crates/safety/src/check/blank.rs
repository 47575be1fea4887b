//! The blank: edges, weight, the lamp, where it will stand and what that does to a carved pane.

use super::{About, Checked, Hazard, Mend, Standing, Subject, Value, Work, answered};
use crate::glazing::{Asked, asked};
use crate::handling::{mass, people};
use crate::plate::{Bending, Held, Pane, PlateError, Pressing, bend, own_weight};
use crate::strength::{Duration, LoadStress, screen};
use piece::{Body, EdgeFinish, PlacePart, Supports};
use quantity::{Area, Length, Quantity as _};
use reference::{Family, Source, tables};

pub(super) fn checks(subject: &Subject<'_>) -> Vec<Checked> {
    let Some(work) = &subject.work else { return Vec::new() };
    let mut checks = vec![lifting(work)];
    checks.extend(edges(work));
    if work.photo_resist {
        let closed = subject.shop.protection.lamp_closed;
        checks.push(answered(Hazard::Lamp, closed, true, Standing::Stop, Source::CommonPractice, Mend::LampLid));
    }
    checks.extend(edge_distance(work));
    checks.extend(built_up(work));
    if work.piece.blank.material.family == Family::Glass {
        checks.push(place(work));
        checks.extend(work.piece.place.as_ref().map(|place| strength(work, place)).unwrap_or_default());
    }
    checks
}

fn edges(work: &Work<'_>) -> Option<Checked> {
    let blank = &work.piece.blank;
    let panel = matches!(blank.body, Body::Panel { .. }) && blank.material.family == Family::Glass;
    let standing = match blank.edges {
        None => Standing::NotTold,
        Some(EdgeFinish::Cut) => Standing::Ask,
        Some(EdgeFinish::Seamed | EdgeFinish::Polished) => Standing::Within,
    };
    panel.then(|| Checked::new(Hazard::Edges, standing, Source::CommonPractice).mended([Mend::Seam]))
}

fn lifting(work: &Work<'_>) -> Checked {
    let limit = &tables().limits.lift_one_person;
    let blank = &work.piece.blank;
    let face = blank.body.sheet_width_mm() * blank.body.sheet_height_mm();
    let mass = mass(Area::clamped(face * 1e-6), blank.thickness, blank.material.density.value);
    let standing = if mass > limit.value { Standing::Ask } else { Standing::Within };
    Checked::new(Hazard::Lifting, standing, limit.source.clone())
        .held(Value::Mass(mass), Value::Mass(limit.value))
        .about(About::People(people(mass)))
}

/// Deep carving near the blank's edge.
fn edge_distance(work: &Work<'_>) -> Option<Checked> {
    let limit = &tables().limits.edge_thicknesses;
    let distance = work.edge_distance?;
    let least = Length::clamped(limit.value * work.piece.blank.thickness.to_metres());
    let standing = if distance < least { Standing::Ask } else { Standing::Within };
    let shallower = tables().limits.carve_depth_watch.value.to_ratio() * work.piece.blank.thickness.to_metres();
    let shallower = Length::clamped((shallower * 1e4 + 1e-9).floor() * 1e-4);
    Some(
        Checked::new(Hazard::EdgeDistance, standing, limit.source.clone())
            .held(Value::Length(distance), Value::Length(least))
            .mended([Mend::Depth(shallower)]),
    )
}

/// Panes of sealed units and plies.
fn built_up(work: &Work<'_>) -> Vec<Checked> {
    let blank = &work.piece.blank;
    let sealed = blank
        .insulated
        .then(|| Checked::new(Hazard::SealedUnit, Standing::Stop, Source::CommonPractice).mended([Mend::SinglePane]));
    let ply = blank.laminated.then(|| {
        Checked::new(Hazard::Laminate, Standing::Ask, Source::CommonPractice)
            .held(Value::Length(work.depth), Value::Length(blank.thickness))
    });
    [sealed, ply].into_iter().flatten().collect()
}

fn place(work: &Work<'_>) -> Checked {
    let Some(place) = &work.piece.place else {
        return Checked::new(Hazard::Place, Standing::NotTold, Source::CommonPractice);
    };
    let (standing, source) = match asked(place.kind) {
        Asked::Nothing => (Standing::Within, Source::CommonPractice),
        Asked::LocalCode(source) => (Standing::Ask, source),
        Asked::Licensed(source) => (Standing::Stop, source),
    };
    Checked::new(Hazard::Place, standing, source).about(About::Place(place.kind))
}

/// No published table covers carved glass: that is the source of every word about its strength.
fn left_out() -> Source {
    Source::second_hand("ASTM E1300, scope; EN 16612 for even frosting", "course slides on E1300; k_sp from memory")
}

/// Stress under the loads that are given, and the sinking. Stone has no number that is known here.
fn strength(work: &Work<'_>, place: &PlacePart) -> Vec<Checked> {
    let held = match place.supports {
        None => return vec![Checked::new(Hazard::Supports, Standing::NotTold, left_out())],
        Some(Supports::ThreeSides | Supports::Points) => {
            return vec![Checked::new(Hazard::Supports, Standing::Stop, left_out())];
        }
        Some(Supports::FourSides) => Held::FourSides,
        Some(Supports::FourClamped) => Held::FourClamped,
        Some(Supports::LeftAndRight) => Held::LeftAndRight,
        Some(Supports::TopAndBottom) => Held::TopAndBottom,
    };
    let Some(pane) = pane(work) else { return Vec::new() };
    let Ok(bent) = loads(work, place, &pane, held) else {
        return vec![Checked::new(Hazard::Supports, Standing::Stop, left_out())];
    };
    if bent.is_empty() {
        return vec![Checked::new(Hazard::Strength, Standing::NotTold, left_out())];
    }
    let loads: Vec<LoadStress> =
        bent.iter().map(|(duration, bent)| LoadStress { stress: bent.stress, duration: *duration }).collect();
    [screened(work, &loads), Some(sinking(work, &bent))].into_iter().flatten().collect()
}

/// Flat panes of glass whose stiffness is known.
fn pane(work: &Work<'_>) -> Option<Pane> {
    let blank = &work.piece.blank;
    let Body::Panel { width, height } = blank.body else { return None };
    let (modulus, poisson) = (blank.material.modulus.as_ref()?, blank.material.poisson.as_ref()?);
    Some(Pane { width, height, thickness: blank.thickness, modulus: modulus.value, poisson: poisson.value })
}

type Bent = (Duration, Bending);

/// The uncarved pane under each load that is given.
fn loads(work: &Work<'_>, place: &PlacePart, pane: &Pane, held: Held) -> Result<Vec<Bent>, PlateError> {
    let limits = &tables().limits;
    let own = place.flat.then(|| own_weight(work.piece.blank.material.density.value, pane.thickness));
    let pressing = [
        own.map(|load| (Duration::Lasting, Pressing::Even(load))),
        place.load.map(|load| (Duration::Lasting, Pressing::Even(load))),
        place.wind.map(|load| (Duration::Of(limits.wind_duration.value), Pressing::Even(load))),
        place
            .push
            .map(|force| (Duration::Of(limits.push_duration.value), Pressing::Patch { force, edge: place.patch })),
    ];
    let bent = pressing.into_iter().flatten();
    bent.map(|(duration, pressing)| Ok((duration, bend(pane, held, pressing)?))).collect()
}

/// Never better than a screening, whatever the numbers.
fn screened(work: &Work<'_>, loads: &[LoadStress]) -> Option<Checked> {
    let thickness = work.piece.blank.thickness;
    let found = screen(loads, work.depth, thickness)?;
    let standing = if found.used > 1.0 { Standing::Stop } else { Standing::Screened };
    // Down to the tenth of a millimetre.
    let shallower = Length::clamped((found.deepest.to_mm() * 10.0 + 1e-9).floor() * 1e-4);
    let shallower = (shallower.to_mm() > 0.0).then_some(Mend::Depth(shallower));
    let thicker = thicker(work, loads, found.used).map(Mend::Thickness);
    Some(
        Checked::new(Hazard::Strength, standing, left_out())
            .held(Value::Stress(found.stress), Value::Stress(found.allowed))
            .about(About::Deepest(found.deepest, thickness))
            .mended(shallower.into_iter().chain(thicker)),
    )
}

/// The thinnest blank in whole millimetres whose rest, below the carving, is stressed no more than is allowed.
/// Stress goes with one over the square of what is left; own weight with the thickness, which is allowed for.
fn thicker(work: &Work<'_>, loads: &[LoadStress], used: f64) -> Option<Length> {
    let (depth, thickness) = (work.depth.to_mm(), work.piece.blank.thickness.to_mm());
    let left = thickness - depth;
    let flat = work.piece.place.as_ref().is_some_and(|place| place.flat);
    let enough = |mm: &f64| {
        let growth = if flat && !loads.is_empty() { mm / thickness } else { 1.0 };
        used * growth * (left / (mm - depth)).powi(2) <= 1.0
    };
    let whole = (1..=40).map(|more| thickness.floor() + f64::from(more));
    whole.into_iter().find(enough).and_then(|mm| Length::mm(mm).ok())
}

fn sinking(work: &Work<'_>, bent: &[Bent]) -> Checked {
    let limit = &tables().limits.plate_linear;
    let thickness = work.piece.blank.thickness.to_metres();
    let left = (1.0 - work.depth.to_metres() / thickness).max(1e-3);
    // Of the pane as if all of it were carved: stiffness goes with the cube of what is left.
    let sinks: f64 = bent.iter().map(|(_, bent)| bent.sinking.to_metres() / left.powi(3)).sum();
    let most = Length::clamped(limit.value.to_ratio() * thickness * left);
    let sinks = Length::clamped(sinks);
    let standing = if sinks > most { Standing::Ask } else { Standing::Screened };
    Checked::new(Hazard::Sinking, standing, limit.source.clone()).held(Value::Length(sinks), Value::Length(most))
}
