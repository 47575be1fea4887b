//! The carved piece as a closed solid of triangles.

use super::ReliefError;
use super::bisection::Bisection;
use super::lines::{lines, power};
use super::wall::{self, Bend};
use artwork::grid::Point;
use carve::probe::depth_at;
use piece::{Ball, Body, Side};
use plan::Relief;
use rayon::prelude::*;

/// How finely a solid follows the carved surface.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SolidOptions {
    /// A side is halved where the surface lies farther than this from its middle, 0.0001 mm to 1 mm. The mesh then
    /// keeps within about twice of it.
    pub tolerance_mm: f64,
    /// Most triangles, 1000 at least. Where they do not do, the tolerance is raised until they do.
    pub triangles_max: usize,
}

impl Default for SolidOptions {
    fn default() -> Self {
        Self { tolerance_mm: 0.002, triangles_max: 1_000_000 }
    }
}

/// A closed solid: every side belongs to two triangles.
#[derive(Debug, Clone, PartialEq)]
pub struct Solid {
    /// Places in millimetres. A panel: x right, y away, z up from the flat back. A vessel: its axis is z, from the
    /// foot up, and the middle of its sheet looks along -y.
    pub vertices: Vec<[f32; 3]>,
    /// Places of three vertices, anticlockwise from outside.
    pub triangles: Vec<[u32; 3]>,
    /// The tolerance of its halvings: what was asked for, or what the triangles allowed.
    pub tolerance_mm: f64,
    /// The larger step of the export grid.
    pub step_mm: f64,
    /// What it is of.
    pub form: Form,
}

/// What a solid is of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Form {
    /// A panel: its untouched face lies at this height above its back.
    Slab {
        /// Thickness of the blank.
        face_mm: f64,
    },
    /// The wall of a tumbler or a bowl, without its floor.
    Wall {
        /// Radius of its untouched outer face at the rim.
        rim_mm: f64,
        /// At the foot.
        foot_mm: f64,
        /// From foot to rim, along the axis.
        axis_mm: f64,
        /// The ball that a bowl's side is of.
        ball: Option<Ball>,
    },
}

impl Solid {
    /// Volume in cubic millimetres, by the signed tetrahedra under all triangles.
    #[must_use]
    pub fn volume_mm3(&self) -> f64 {
        let six = |triangle: &[u32; 3]| {
            let [a, b, c] = triangle.map(|i| self.vertices[i as usize].map(f64::from));
            a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0]) + a[2] * (b[0] * c[1] - b[1] * c[0])
        };
        self.triangles.iter().map(six).sum::<f64>() / 6.0
    }
}

/// What is carved away of the blank, in cubic millimetres: the cells' depths summed. On a tumbler a cell narrows toward
/// the axis: of a depth `d` under the radius `R`, `d (1 - d / 2R)` counts.
#[must_use]
pub fn carved_mm3(relief: &Relief) -> f64 {
    let grid = relief.depth_mm.grid;
    let bent = match relief.body {
        Body::Panel { .. } => 0.0,
        Body::Tumbler { diameter, foot, .. } => 2.0 / (diameter.to_mm() + foot.to_mm()),
        // It narrows both ways.
        Body::Bowl { diameter, foot, height } => 1.0 / Ball::through(diameter, foot, height).radius_of_ball_mm(),
    };
    // On a bowl a cell is as wide as its height down the side is around.
    let wide = |row: usize| match relief.body {
        Body::Bowl { .. } => {
            let down_mm = grid.origin.y + (row as f64 + 0.5) * grid.cell;
            relief.body.around_mm(down_mm) / relief.body.sheet_width_mm()
        }
        _ => 1.0,
    };
    let cell = |&depth: &f32| f64::from(depth) * (1.0 - bent * f64::from(depth));
    let rows = relief.depth_mm.values.par_chunks(grid.width.max(1)).enumerate();
    rows.map(|(row, cells)| wide(row) * cells.iter().map(cell).sum::<f64>()).sum::<f64>() * grid.cell_area()
}

/// The solid of a relief.
///
/// Flat ground takes few triangles, walls as many as the tolerance asks for: a right-angled triangle is halved until its
/// sides keep within it, on a grid of up to 4097 lines each way that is even across the artwork.
///
/// Cost: half a second and 200 MB for 4097 lines.
///
/// # Errors
/// [`ReliefError`] for a relief without cells or one that goes through the blank.
pub fn solid(relief: &Relief, options: &SolidOptions) -> Result<Solid, ReliefError> {
    let ground = Ground::new(relief)?;
    let bisection = Bisection::new(ground.size, &ground.heights, ground.bend());
    let most = options.triangles_max.max(1000);
    let mut tolerance = options.tolerance_mm.clamp(1e-4, 1.0);
    while tolerance < 1e3 && bisection.count(tolerance as f32) > most - most / 10 {
        tolerance *= 1.3;
    }
    let mut made = Making::new(&ground);
    bisection.triangles(tolerance as f32, |corners| made.face(corners));
    match (ground.bend(), ground.form) {
        (Some(bend), Form::Wall { .. }) => wall::close(&mut made, bend, ground.thickness_mm),
        _ => made.close(),
    }
    let (step_mm, form) = (ground.step_mm(), ground.form);
    Ok(Solid { vertices: made.vertices, triangles: made.triangles, tolerance_mm: tolerance, step_mm, form })
}

/// Heights over the blank on the lines of the export grid.
pub(super) struct Ground {
    /// Steps each way.
    pub(super) size: usize,
    x: Vec<f64>,
    y: Vec<f64>,
    /// Above the back, row by row.
    heights: Vec<f32>,
    pub(super) height_mm: f64,
    width_mm: f64,
    thickness_mm: f64,
    mirrored: bool,
    form: Form,
}

impl Ground {
    fn new(relief: &Relief) -> Result<Self, ReliefError> {
        let (grid, thickness) = (relief.depth_mm.grid, relief.thickness.to_mm());
        let (width_mm, height_mm) = (relief.body.sheet_width_mm(), relief.body.sheet_height_mm());
        if grid.is_empty() || !(width_mm > 0.0 && height_mm > 0.0) {
            return Err(ReliefError::NoCells);
        }
        let deepest = f64::from(relief.depth_mm.values.iter().copied().fold(0.0, f32::max));
        if deepest >= thickness {
            return Err(ReliefError::Through { depth_mm: deepest, thickness_mm: thickness });
        }
        let form = form(relief)?;
        let (left, top) = (grid.origin.x, grid.origin.y);
        let (from, to) = match form {
            Form::Slab { .. } => (left, left + grid.cell * grid.width as f64),
            // Bare ground is curved too.
            Form::Wall { .. } => (0.0, width_mm),
        };
        let power = power((((to - from) / grid.cell).ceil() as usize).max(grid.height));
        let x = lines(width_mm, from, to, power);
        // So is a bowl's from rim to foot.
        let (above, below) = match form {
            Form::Wall { ball: Some(_), .. } => (0.0, height_mm),
            _ => (top, top + grid.cell * grid.height as f64),
        };
        let y = lines(height_mm, above, below, power);
        let mut heights = vec![thickness as f32; x.len() * y.len()];
        heights.par_chunks_mut(x.len()).zip(&y).for_each(|(row, &y)| {
            for (height, &x) in row.iter_mut().zip(&x) {
                *height -= depth_at(&relief.depth_mm, Point { x, y }).unwrap_or(0.0) as f32;
            }
        });
        let mirrored = relief.side == Side::Back && matches!(form, Form::Slab { .. });
        let size = 1 << power;
        if let Form::Wall { .. } = form {
            // Both ends of the sheet are one place.
            heights.chunks_mut(size + 1).for_each(|row| row[size] = row[0]);
        }
        Ok(Self { size, x, y, heights, height_mm, width_mm, thickness_mm: thickness, mirrored, form })
    }

    fn bend(&self) -> Option<Bend> {
        match self.form {
            Form::Slab { .. } => None,
            Form::Wall { rim_mm, foot_mm, axis_mm, ball } => {
                let step_mm = |whole_mm: f64| whole_mm / self.size as f64;
                let ball = ball.map(|ball| (ball, step_mm(self.height_mm)));
                Some(Bend { foot_mm, rim_mm, height_mm: axis_mm, step_mm: step_mm(self.width_mm), ball })
            }
        }
    }

    fn vertex(&self, [column, row]: [usize; 2], z: f32) -> [f32; 3] {
        if let Some(bend) = self.bend() {
            let up = 1.0 - self.y[row] / self.height_mm;
            return bend.place(self.x[column], self.thickness_mm - f64::from(z), up);
        }
        let x = if self.mirrored { self.width_mm - self.x[column] } else { self.x[column] };
        [x as f32, (self.height_mm - self.y[row]) as f32, z]
    }

    fn step_mm(&self) -> f64 {
        let middle = self.size / 2;
        (self.x[middle + 1] - self.x[middle]).max(self.y[middle + 1] - self.y[middle])
    }
}

fn form(relief: &Relief) -> Result<Form, ReliefError> {
    match relief.body {
        Body::Panel { .. } => Ok(Form::Slab { face_mm: relief.thickness.to_mm() }),
        Body::Tumbler { diameter, foot, height } | Body::Bowl { diameter, foot, height } => {
            let ball = matches!(relief.body, Body::Bowl { .. }).then(|| Ball::through(diameter, foot, height));
            let (rim_mm, foot_mm, wall_mm) = (0.5 * diameter.to_mm(), 0.5 * foot.to_mm(), relief.thickness.to_mm());
            let radius_mm = rim_mm.min(foot_mm);
            if wall_mm < radius_mm {
                Ok(Form::Wall { rim_mm, foot_mm, axis_mm: height.to_mm(), ball })
            } else {
                Err(ReliefError::Solid { radius_mm, wall_mm })
            }
        }
    }
}

/// A solid as it grows.
pub(super) struct Making<'a> {
    pub(super) ground: &'a Ground,
    vertices: Vec<[f32; 3]>,
    pub(super) triangles: Vec<[u32; 3]>,
    /// The vertex of each place, plus one; 0: it has none.
    numbers: Vec<u32>,
}

impl<'a> Making<'a> {
    fn new(ground: &'a Ground) -> Self {
        Self { ground, vertices: Vec::new(), triangles: Vec::new(), numbers: vec![0; ground.heights.len()] }
    }

    fn face(&mut self, corners: [[usize; 2]; 3]) {
        let [a, b, c] = corners.map(|place| self.number(place));
        // Corners turn against the clock on the page, whose y runs down; mirrored they turn with it.
        self.triangles.push(if self.ground.mirrored { [a, c, b] } else { [a, b, c] });
    }

    /// A vertex of its own.
    pub(super) fn add(&mut self, place: [f32; 3]) -> u32 {
        self.vertices.push(place);
        self.vertices.len() as u32 - 1
    }

    /// Vertices of a row of a sheet that is bent round, with how far along the sheet they stand.
    pub(super) fn row(&self, row: usize) -> impl Iterator<Item = (u32, f64)> {
        let numbers = &self.numbers[row * (self.ground.size + 1)..][..self.ground.size];
        let vertex = |(number, &x): (&u32, &f64)| Some((number.checked_sub(1)?, x));
        numbers.iter().zip(&self.ground.x).filter_map(vertex)
    }

    fn number(&mut self, mut place: [usize; 2]) -> u32 {
        if self.ground.bend().is_some() && place[0] == self.ground.size {
            place[0] = 0;
        }
        let at = place[1] * (self.ground.size + 1) + place[0];
        if self.numbers[at] == 0 {
            self.vertices.push(self.ground.vertex(place, self.ground.heights[at]));
            self.numbers[at] = self.vertices.len() as u32;
        }
        self.numbers[at] - 1
    }

    /// Sides and back: under each vertex of the rim another one, and all of those joined in the back's middle.
    fn close(&mut self) {
        let rim = self.rim();
        let first = self.vertices.len() as u32;
        for &number in &rim {
            let [x, y, _] = self.vertices[number as usize];
            self.vertices.push([x, y, 0.0]);
        }
        let middle = self.vertices.len() as u32;
        self.vertices.push([(0.5 * self.ground.width_mm) as f32, (0.5 * self.ground.height_mm) as f32, 0.0]);
        for (i, &here) in rim.iter().enumerate() {
            let next = (i + 1) % rim.len();
            let (under, under_next) = (first + i as u32, first + next as u32);
            self.triangles.push([under, under_next, rim[next]]);
            self.triangles.push([under, rim[next], here]);
            self.triangles.push([middle, under_next, under]);
        }
    }

    /// Vertices along the rim, anticlockwise from above.
    fn rim(&self) -> Vec<u32> {
        let n = self.ground.size;
        let top = (0..n).map(|x| [x, 0]);
        let right = (0..n).map(|y| [n, y]);
        let bottom = (1..=n).rev().map(|x| [x, n]);
        let left = (1..=n).rev().map(|y| [0, y]);
        let places = top.chain(right).chain(bottom).chain(left);
        let number = |[x, y]: [usize; 2]| self.numbers[y * (n + 1) + x].checked_sub(1);
        let mut rim: Vec<u32> = places.filter_map(number).collect();
        if !self.ground.mirrored {
            rim.reverse();
        }
        rim
    }
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;
    use artwork::grid::{Field, Grid};
    use piece::Body;
    use quantity::Length;
    use std::collections::HashMap;

    fn mm(value: f64) -> Length {
        Length::mm(value).unwrap()
    }

    /// A blank of 60 x 40 x 6 mm with a bowl and a straight-walled groove; at 0.1 mm, on a grid from `left`, `top`.
    pub(crate) fn relief(side: Side, left: f64, top: f64) -> Relief {
        let grid = Grid { origin: Point { x: left, y: top }, cell: 0.1, width: 300, height: 220 };
        let depth = |i: usize| {
            let p = grid.centre(i % grid.width, i / grid.width);
            let (x, y) = (p.x - left, p.y - top);
            let bowl = 2.0 - 0.04 * ((x - 9.0).powi(2) + (y - 11.0).powi(2));
            let groove = if (22.0..24.0).contains(&x) && (2.0..20.0).contains(&y) { 1.25 } else { 0.0 };
            f64::max(bowl.max(0.0), groove) as f32
        };
        let values: Vec<f32> = (0..grid.len()).map(depth).collect();
        let layer = Field { grid, values: values.iter().map(|&depth| u8::from(depth > 0.0)).collect() };
        Relief {
            depth_mm: Field { grid, values },
            layer,
            body: Body::Panel { width: mm(60.0), height: mm(40.0) },
            thickness: mm(6.0),
            side,
            roughness: Length::um(3.0).unwrap(),
        }
    }

    /// Every side of a triangle is another's side the other way round, once. `euler`: 2 for a solid without holes, 0
    /// for one with a hole through it.
    fn assert_closed(solid: &Solid, euler: i64) {
        let mut sides: HashMap<[u32; 2], usize> = HashMap::new();
        for [a, b, c] in &solid.triangles {
            for side in [[*a, *b], [*b, *c], [*c, *a]] {
                *sides.entry(side).or_default() += 1;
            }
        }
        for ([a, b], count) in &sides {
            assert_eq!((*count, sides.get(&[*b, *a])), (1, Some(&1)), "side {a} to {b}");
        }
        let (vertices, faces) = (solid.vertices.len() as i64, solid.triangles.len() as i64);
        assert_eq!(vertices - sides.len() as i64 / 2 + faces, euler);
    }

    #[test]
    fn a_solid_is_closed_and_holds_the_blank_less_what_was_carved() {
        for (side, left, top) in [(Side::Front, 12.0, 8.0), (Side::Back, 12.0, 8.0), (Side::Front, 0.0, 18.0)] {
            let relief = relief(side, left, top);
            let solid = solid(&relief, &SolidOptions::default()).unwrap();
            assert_closed(&solid, 2);
            let (blank, carved) = (60.0 * 40.0 * 6.0, carved_mm3(&relief));
            let (whole, gone) = (solid.volume_mm3(), blank - solid.volume_mm3());
            println!(
                "{} triangles, {whole:.1} mm³, carved {gone:.2} of {carved:.2} mm³ ({:.3} %)",
                solid.triangles.len(),
                (gone / carved - 1.0) * 100.0
            );
            assert!((whole / (blank - carved) - 1.0).abs() < 1e-3);
            assert!((gone / carved - 1.0).abs() < 2e-3, "{gone} of {carved}");
            assert!(solid.triangles.len() < 60_000, "{}", solid.triangles.len());
        }
    }

    #[test]
    fn artwork_that_reaches_the_edge_cuts_into_the_sides() {
        // The bowl's rim lies 1.9 mm inside the grid's left side, the grid 4 mm outside the blank's.
        let relief = relief(Side::Front, -4.0, 8.0);
        let solid = solid(&relief, &SolidOptions::default()).unwrap();
        assert_closed(&solid, 2);
        let on_edge = solid.vertices.iter().filter(|v| v[0] == 0.0 && v[2] > 0.0);
        let lowest = on_edge.map(|v| v[2]).fold(f32::MAX, f32::min);
        // At the blank's edge the bowl is 2 - 0.04 x 5² = 1 mm deep.
        assert!((lowest - 5.0).abs() < 0.02, "{lowest}");
    }

    #[test]
    fn a_piece_carved_from_the_back_is_turned_round() {
        let deepest = |side| {
            let solid = solid(&relief(side, 12.0, 8.0), &SolidOptions::default()).unwrap();
            let carved = solid.vertices.iter().filter(|v| v[2] > 0.0);
            *carved.min_by(|a, b| a[2].total_cmp(&b[2])).unwrap()
        };
        let (front, back) = (deepest(Side::Front), deepest(Side::Back));
        assert!((front[0] - 21.0).abs() < 0.3 && (front[1] - 21.0).abs() < 0.3, "{front:?}");
        assert!((back[0] - 39.0).abs() < 0.3 && (back[1] - 21.0).abs() < 0.3, "{back:?}");
    }

    #[test]
    fn a_tumbler_s_wall_is_closed_and_as_heavy_as_a_bent_sheet() {
        for left in [70.0, 0.0] {
            let mut relief = relief(Side::Front, left, 8.0);
            let across = quantity::Diameter::mm(80.0).unwrap();
            relief.body = Body::Tumbler { diameter: across, foot: across, height: mm(40.0) };
            relief.thickness = mm(4.0);
            let solid = solid(&relief, &SolidOptions::default()).unwrap();
            assert_closed(&solid, 0);
            let tube = std::f64::consts::PI * (40.0f64.powi(2) - 36.0f64.powi(2)) * 40.0;
            let (gone, carved) = (tube - solid.volume_mm3(), carved_mm3(&relief));
            println!("{} triangles, carved {gone:.2} of {carved:.2} mm³ of {tube:.0}", solid.triangles.len());
            // Chords cut 2 µm off the outside and, less, off the inside: 0.06 % of a wall of 4 mm.
            assert!((solid.volume_mm3() / (tube - carved) - 1.0).abs() < 1e-3, "{gone} of {carved}");
            let outermost = solid.vertices.iter().map(|[x, y, _]| x.hypot(*y)).fold(0.0, f32::max);
            assert!((outermost - 40.0).abs() < 1e-4);
            // The bowl's middle stands `s` from the sheet's left end; the front is its middle.
            let deepest = solid.vertices.iter().filter(|v| v[0].hypot(v[1]) > 36.5);
            let deepest = deepest.min_by(|a, b| a[0].hypot(a[1]).total_cmp(&b[0].hypot(b[1]))).unwrap();
            let angle = f64::from(deepest[0]).atan2(f64::from(-deepest[1]));
            let want = (left + 9.0) / 40.0 - std::f64::consts::PI;
            assert!((angle - want).abs() < 0.02 && (deepest[2] - 21.0).abs() < 0.5, "{angle} {want} {deepest:?}");
        }
    }

    #[test]
    fn a_tapered_wall_is_closed_and_as_heavy_as_a_cone_of_it() {
        let mut relief = relief(Side::Front, 70.0, 8.0);
        let across = |mm: f64| quantity::Diameter::mm(mm).unwrap();
        relief.body = Body::Tumbler { diameter: across(84.0), foot: across(76.0), height: mm(40.0) };
        relief.thickness = mm(4.0);
        relief.depth_mm.values.fill(0.0);
        let solid = solid(&relief, &SolidOptions::default()).unwrap();
        assert_closed(&solid, 0);
        // Between two cones of 42 and 38 mm outside and 4 mm less inside: π h (a² + a b + b²) / 3 each.
        let cone = |a: f64, b: f64| std::f64::consts::PI * 40.0 * (a * a + a * b + b * b) / 3.0;
        let want = cone(42.0, 38.0) - cone(38.0, 34.0);
        assert!((solid.volume_mm3() / want - 1.0).abs() < 1e-3, "{} of {want}", solid.volume_mm3());
    }

    #[test]
    fn a_bowl_s_wall_is_closed_and_as_heavy_as_a_shell_of_a_ball() {
        let mut relief = relief(Side::Front, 70.0, 8.0);
        let across = |mm: f64| quantity::Diameter::mm(mm).unwrap();
        relief.body = Body::Bowl { diameter: across(100.0), foot: across(60.0), height: mm(40.0) };
        relief.thickness = mm(4.0);
        let whole = solid(&relief, &SolidOptions::default()).unwrap();
        assert_closed(&whole, 0);
        // A ball of 50 mm from its equator down to where it is 60 mm wide, 4 mm thick: 2 π / 3 (a³ - b³) (cos f - cos r).
        let shell = 2.0 * std::f64::consts::PI / 3.0 * (50.0_f64.powi(3) - 46.0_f64.powi(3)) * 0.8;
        let carved = carved_mm3(&relief);
        println!("{} triangles, {:.2} of {:.2} mm³", whole.triangles.len(), whole.volume_mm3(), shell - carved);
        assert!((whole.volume_mm3() / (shell - carved) - 1.0).abs() < 2e-3, "{} {shell} {carved}", whole.volume_mm3());
        let reach = |v: &[f32; 3]| (f64::from(v[0]).hypot(f64::from(v[1]))).hypot(f64::from(v[2]) - 40.0);
        let outermost = whole.vertices.iter().map(reach).fold(0.0, f64::max);
        assert!((outermost - 50.0).abs() < 1e-3, "{outermost}");
        // Bare, to a thousandth.
        relief.depth_mm.values.fill(0.0);
        let bare = solid(&relief, &SolidOptions::default()).unwrap().volume_mm3();
        assert!((bare / shell - 1.0).abs() < 1e-3, "{bare} {shell}");
    }

    #[test]
    fn a_wall_as_thick_as_the_radius_is_refused() {
        let mut relief = relief(Side::Front, 12.0, 8.0);
        let across = quantity::Diameter::mm(11.0).unwrap();
        relief.body = Body::Tumbler { diameter: across, foot: across, height: mm(40.0) };
        let words = solid(&relief, &SolidOptions::default()).unwrap_err().to_string();
        assert!(words.contains("5.50 mm") && words.contains("6.00 mm"), "{words}");
    }

    #[test]
    fn triangles_are_bounded_and_the_tolerance_says_what_that_cost() {
        let relief = relief(Side::Front, 12.0, 8.0);
        let options = SolidOptions { triangles_max: 3000, ..SolidOptions::default() };
        let solid = solid(&relief, &options).unwrap();
        assert_closed(&solid, 2);
        assert!(solid.triangles.len() <= 3000 && solid.tolerance_mm > options.tolerance_mm);
    }

    #[test]
    fn ground_behind_the_back_is_refused() {
        let mut relief = relief(Side::Front, 12.0, 8.0);
        relief.thickness = mm(1.9);
        let words = solid(&relief, &SolidOptions::default()).unwrap_err().to_string();
        assert!(words.contains("2.00 mm deep") && words.contains("thicker"), "{words}");
    }
}
