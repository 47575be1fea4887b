//! How a layer is weeded: its groups framed and numbered in their order.

use crate::metrics::width_mm;
use crate::scene::{Anchor, Face, Group, Item, Paint, Path, Rect, Scene, Stroke, Text};
use crate::theme::Role;
use artwork::bounds::Bounds;
use artwork::grid::Point;
use language::{say, say_count};
use stencil::cut::weed::WeedPlan;
use stencil::layers::{Mark, StencilLayer};
use stencil::strokes::cross;

/// How the picture is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WeedOptions {
    /// Width of the whole drawing, 30 mm or more.
    pub width_mm: f64,
    /// Its greatest height.
    pub height_mm: f64,
    /// Size of the numbers, 1.5 mm to 6 mm.
    pub text_mm: f64,
}

impl Default for WeedOptions {
    fn default() -> Self {
        Self { width_mm: 170.0, height_mm: 220.0, text_mm: 3.2 }
    }
}

/// What is lifted is lit, the resist that stays is dark; each group has its frame and its number, and a line leads
/// from group to group. The sheet is drawn as it lies before the hand: mirrored when carved from the back.
#[must_use]
pub fn weed(layer: &StencilLayer, plan: &WeedPlan, options: &WeedOptions) -> Scene {
    let page = layer.weed_box;
    let scale = (options.width_mm / page.width_mm()).min(options.height_mm / page.height_mm());
    let sheet = Sheet { page, scale, em: options.text_mm.clamp(1.5, 6.0) };
    let resist = sheet.rect(page).filled(Role::Behind).stroked(Stroke::new(0.25, Paint::faint(Role::Glass, 0.7)));
    let mut items: Vec<Item> = vec![resist.into()];
    items.push(Path::region(&layer.openings, sheet.place(Point::default()), scale).filled(Role::Depth(1.0)).into());
    items.extend(layer.marks.iter().flat_map(|mark| sheet.mark(mark)));
    items.extend(sheet.route(plan));
    items.extend(plan.steps.iter().enumerate().map(|(i, step)| sheet.group(i + 1, step.frame, step.parts.len())));
    let steps = plan.steps.len();
    Scene {
        width_mm: scale * page.width_mm(),
        height_mm: scale * page.height_mm(),
        title: say!("Weeding stage {} of {}: {}", layer.stage, layer.stages, layer.name),
        description: say_count!(
            steps,
            "{steps} group of openings, numbered in the order in which they are weeded.",
            "{steps} groups of openings, numbered in the order in which they are weeded."
        ),
        items,
    }
}

struct Sheet {
    page: Bounds,
    scale: f64,
    em: f64,
}

impl Sheet {
    fn place(&self, p: Point) -> Point {
        Point { x: self.scale * (p.x - self.page.min.x), y: self.scale * (p.y - self.page.min.y) }
    }

    fn rect(&self, b: Bounds) -> Rect {
        let at = self.place(b.min);
        Rect::new(at.x, at.y, self.scale * b.width_mm(), self.scale * b.height_mm())
    }

    fn mark(&self, mark: &Mark) -> Vec<Item> {
        let line = Stroke::new(0.2, Paint::faint(Role::Glass, 0.7));
        cross(mark)
            .into_iter()
            .filter_map(|stroke| Path::polyline(stroke.points.iter().map(|&p| self.place(p)), line))
            .map(Item::from)
            .collect()
    }

    fn route(&self, plan: &WeedPlan) -> Option<Item> {
        let line = Stroke::new(0.3, Paint::faint(Role::Watch, 0.55)).dashed(1.4, 1.0);
        Path::polyline(plan.steps.iter().map(|step| self.place(step.frame.centre())), line).map(Item::from)
    }

    fn group(&self, number: usize, frame: Bounds, parts: usize) -> Item {
        let outline = self.rect(frame);
        let dashes = Stroke::new(0.25, Role::Watch).dashed(1.6, 0.8);
        let text = number.to_string();
        let (width, height) = (width_mm(&text, self.em, Face::SemiBold) + 0.7 * self.em, 1.25 * self.em);
        // At the frame's upper left corner, drawn in where that would leave the sheet.
        let x = (outline.x_mm - 0.3 * self.em).clamp(0.0, (self.scale * self.page.width_mm() - width).max(0.0));
        let y = (outline.y_mm - 0.3 * self.em).clamp(0.0, (self.scale * self.page.height_mm() - height).max(0.0));
        let plate = Rect::new(x, y, width, height).rounded(0.25 * self.em).filled(Role::Ground);
        let at = Point { x: x + 0.5 * width, y: y + 0.5 * (height + crate::metrics::CAP_HEIGHT * self.em) };
        let words =
            Text { at, text, size_mm: self.em, anchor: Anchor::Middle, face: Face::SemiBold, paint: Role::Ink.into() };
        let edge = plate.stroked(Stroke::new(0.2, Role::Watch));
        Group {
            id: Some(format!("weed-{number}")),
            label: Some(say!("group {number}, openings: {parts}")),
            clip: None,
            items: vec![outline.stroked(dashes).into(), edge.into(), words.into()],
        }
        .into()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use artwork::region::Region;
    use quantity::{Length, Time};
    use stencil::cut::weed::{WeedPace, weed_plan};
    use stencil::layers::Side;

    #[test]
    fn every_group_is_numbered_on_the_sheet() {
        let square =
            |x: f64| Region::rectangle(Bounds { min: Point { x, y: 10.0 }, max: Point { x: x + 8.0, y: 18.0 } });
        let layer = StencilLayer {
            stage: 1,
            stages: 2,
            name: "leaves".into(),
            side: Side::Front,
            openings: Region::union_of(&[square(10.0), square(40.0), square(70.0)]),
            marks: Vec::new(),
            cuts: Vec::new(),
            weed_box: Bounds::from_size(90.0, 30.0),
        };
        let second = Time::seconds(4.0).unwrap();
        let plan =
            weed_plan(&layer.openings, Length::mm(2.0).unwrap(), WeedPace { per_metre: second, per_part: second });
        let scene = weed(&layer, &plan, &WeedOptions::default());
        let groups = scene.items.iter().filter(|item| matches!(item, Item::Group(_))).count();
        assert_eq!((groups, plan.steps.len()), (3, 3));
        assert!((scene.width_mm - 170.0).abs() < 1e-9 && scene.title.contains("stage 1 of 2"));
    }
}
