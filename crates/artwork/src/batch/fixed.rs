//! A piece measured where its texts are, beside what every row has.

use crate::analysis::{Analysis, AnalysisLimits, analyse_within};
use crate::bounds::Bounds;
use crate::drawing::Shape;
use crate::near::Filed;
use crate::region::{Polygon, Region};
use crate::windows::Windows;
use quantity::{Length, Quantity as _};

/// What is open besides the texts.
pub(super) struct Fixed {
    open: Region,
    filed: Filed,
    sums: Sums,
}

/// Of some polygons.
#[derive(Debug, Clone, Copy, Default)]
struct Sums {
    area_mm2: f64,
    perimeter_mm: f64,
    parts: isize,
    points: isize,
}

impl Sums {
    fn of<'p>(polygons: impl IntoIterator<Item = &'p Polygon>) -> Self {
        let mut sums = Self::default();
        for polygon in polygons {
            sums.area_mm2 += polygon.area_mm2();
            sums.parts += 1;
            for ring in polygon.rings() {
                sums.perimeter_mm += ring.perimeter_mm();
                sums.points += ring.0.len() as isize;
            }
        }
        sums
    }

    /// `less` replaced by `more`.
    fn changed(self, less: Self, more: Self) -> Self {
        Self {
            area_mm2: self.area_mm2 - less.area_mm2 + more.area_mm2,
            perimeter_mm: self.perimeter_mm - less.perimeter_mm + more.perimeter_mm,
            parts: self.parts - less.parts + more.parts,
            points: self.points - less.points + more.points,
        }
    }
}

impl Fixed {
    pub(super) fn new(shapes: Vec<&Shape>) -> Self {
        let open = Region::union_of(shapes.into_iter().map(|shape| &shape.region));
        Self { filed: Filed::new(&open), sums: Sums::of(open.polygons()), open }
    }

    /// Measures texts and what lies beside them; what lies further away than any limit reaches is not looked at.
    pub(super) fn measured(&self, texts: &[&Shape], page: Bounds, limits: &AnalysisLimits) -> Analysis {
        let lengths = [limits.opening, limits.wall, limits.neck, limits.margin].map(Length::to_mm);
        let reach = 2.0 * lengths.into_iter().fold(limits.holding.to_square_mm().sqrt(), f64::max);
        let text = Region::union_of(texts.iter().map(|shape| &shape.region));
        let boxes: Vec<Bounds> = text.polygons().iter().filter_map(Polygon::bounds).collect();
        // Polygons that the texts may overlap are joined to them; the others stay as they are.
        let (met, met_not): (Vec<usize>, Vec<usize>) = {
            let grown: Vec<Bounds> = boxes.iter().map(|at| at.grown(reach)).collect();
            let near = self.filed.touching_any(&grown).collect::<Vec<_>>();
            let met: Vec<usize> = self.filed.touching_any(&boxes).collect();
            let others = near.into_iter().filter(|index| met.binary_search(index).is_err()).collect();
            (met, others)
        };
        let polygon = |index: &usize| &self.open.polygons()[*index];
        let beneath = Region::of_polygons(met.iter().map(polygon).cloned().collect());
        let joined = if beneath.is_empty() { text } else { text.union(&beneath) };
        let sums = self.sums.changed(Sums::of(beneath.polygons()), Sums::of(joined.polygons()));
        let local = joined.polygons().iter().chain(met_not.iter().map(polygon)).cloned().collect();
        let windows = Windows::new(boxes.iter().map(|at| at.grown(reach)).collect());
        let mut found = analyse_within(&Region::of_polygons(local), page, limits, windows.as_ref());
        found.faults.retain(|fault| windows.as_ref().is_some_and(|windows| windows.hold(fault.at)));
        found.opened = quantity::Area::clamped(sums.area_mm2 * 1e-6);
        found.covered = quantity::Area::clamped((page.width_mm() * page.height_mm() - sums.area_mm2).max(0.0) * 1e-6);
        found.perimeter_mm = sums.perimeter_mm;
        (found.parts, found.points) = (sums.parts.unsigned_abs(), sums.points.unsigned_abs());
        found
    }
}
