//! The gores that artwork lies on, side by side on one sheet of film.

use super::gores::Gores;
use artwork::Affine;
use artwork::bounds::Bounds;
use artwork::grid::Point;
use artwork::region::{Region, Ring};

/// Between gores on the sheet, in mm: room for a knife. Judgement.
const GAP_MM: f64 = 4.0;

/// Gores side by side as they lie on the bowl, from left to right.
#[derive(Debug, Clone, PartialEq)]
pub struct GoreSheet {
    /// Which gores, and how far each one's middle line lies from the sheet's left edge.
    places: Vec<(usize, f64)>,
    outline: Ring,
    /// One gore's rectangle.
    gore: Bounds,
}

impl GoreSheet {
    /// A sheet of the gores that hold anything of any layer; `laid`: each layer on all gores, as [`Gores::lay`] gives.
    /// `tolerance_mm`: furthest that a gore's edge may leave its true curve.
    #[must_use]
    pub fn of(gores: &Gores, laid: &[Vec<Region>], tolerance_mm: f64) -> Self {
        let outline = gores.outline(tolerance_mm);
        let gore = Bounds::around(outline.0.iter().copied()).unwrap_or(Bounds::from_size(1.0, 1.0));
        let count = gores.count();
        // The first gore is the artwork's middle.
        let from_left = (count / 2 + 1..count).chain(0..=count / 2);
        let used = from_left.filter(|&i| laid.iter().any(|layer| layer.get(i).is_some_and(|part| !part.is_empty())));
        let pitch = gore.width_mm() + GAP_MM;
        let places = used.enumerate().map(|(place, i)| (i, place as f64 * pitch - gore.min.x)).collect();
        Self { places, outline, gore }
    }

    /// A layer on the sheet.
    #[must_use]
    pub fn sheet(&self, laid: &[Region]) -> Region {
        let moved = |(i, x): &(usize, f64)| Some(laid.get(*i)?.transform(Affine::translate((*x, 0.0))));
        Region::union_of(&self.places.iter().filter_map(moved).collect::<Vec<_>>())
    }

    /// The outline of every gore on the sheet, to be cut.
    #[must_use]
    pub fn cuts(&self) -> Vec<Ring> {
        let moved = |x: f64| Ring(self.outline.0.iter().map(|p| Point { x: p.x + x, y: p.y }).collect());
        self.places.iter().map(|(_, x)| moved(*x)).collect()
    }

    /// One gore's rectangle, its middle line at 0.
    #[must_use]
    pub const fn gore(&self) -> Bounds {
        self.gore
    }

    /// Width and height of all gores together, in mm.
    #[must_use]
    pub fn size_mm(&self) -> (f64, f64) {
        let last = self.places.last().map_or(0.0, |(_, x)| *x);
        (last + self.gore.max.x, self.gore.height_mm())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::vessel::gores::Bowl;
    use quantity::{Diameter, Length};

    #[test]
    fn layers_lie_in_register_on_the_gores_that_any_of_them_needs() {
        let d = |mm| Diameter::mm(mm).unwrap();
        let mm = |mm| Length::mm(mm).unwrap();
        let gores = Gores::new(Bowl::new(d(160.0), d(60.0), mm(70.0)).unwrap(), 12).unwrap();
        let bar = |from: f64, to: f64| {
            let bar = Region::rectangle(Bounds { min: Point { x: from, y: 0.0 }, max: Point { x: to, y: 6.0 } });
            gores.lay(&bar, Point::default(), mm(30.0), mm(33.0), 1e-3).unwrap()
        };
        // About 38 mm wide at that height: the first lies on the middle gore, the second on that and the next.
        let laid = [bar(-5.0, 5.0), bar(10.0, 40.0)];
        let sheet = GoreSheet::of(&gores, &laid, 1e-3);
        assert_eq!(sheet.cuts().len(), 2);
        let (width, height) = sheet.size_mm();
        assert!((width - (2.0 * sheet.gore().width_mm() + GAP_MM)).abs() < 1e-6 && height > 70.0, "{width} {height}");
        let [small, wide] = [0, 1].map(|i| sheet.sheet(&laid[i]));
        assert!((small.area().to_square_mm() - 60.0).abs() < 0.1 && (wide.area().to_square_mm() - 180.0).abs() < 0.3);
        // The small one in the middle of the left gore; both within the gores.
        assert!((small.bounds().unwrap().centre().x - 0.5 * sheet.gore().width_mm()).abs() < 1e-3);
        let outlines = Region::from_rings(&sheet.cuts(), artwork::region::FillRule::NonZero);
        assert!(small.union(&wide).subtract(&outlines).without_slivers().is_empty());
    }
}
