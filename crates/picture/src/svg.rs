//! A scene as SVG 1.1 text.

use crate::scene::{Anchor, Face, Group, Item, Line, Paint, Path, Rect, Scene, Segment, Stroke, Text};
use crate::theme::{Role, Theme};
use artwork::grid::Point;
use artwork::region::FillRule;
use std::fmt::Write as _;

/// Steps of a depth ramp that a page names; a drawing's depths are rounded to them.
pub const RAMP_STEPS: u32 = 16;

/// How an SVG names its colours.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Colours {
    /// As CSS custom properties, which the page sets: `var(--ink)`. See [`properties`].
    Properties,
    /// As values: the file looks the same wherever it is opened. Draws the ground too.
    Resolved(Theme),
}

/// Writes a scene.
///
/// With [`Colours::Properties`] it is meant to stand inside a page: it has a `viewBox` and no size of
/// its own, so that it fills the width it is given. With [`Colours::Resolved`] it is a file at true size.
#[must_use]
pub fn write(scene: &Scene, colours: Colours) -> String {
    let mut out = Writer { text: String::with_capacity(16 * 1024), colours };
    out.open(scene);
    for item in &scene.items {
        out.item(item);
    }
    out.text.push_str("</svg>\n");
    out.text
}

/// The custom properties that a page needs, with a theme's values: `--ink:#e9ebed;…`.
#[must_use]
pub fn properties(theme: Theme) -> String {
    let plain = [
        Role::Ink,
        Role::DimInk,
        Role::Ground,
        Role::Raised,
        Role::Glass,
        Role::Behind,
        Role::Hold,
        Role::Watch,
        Role::Stop,
        Role::Grid,
    ];
    let ramps = (0..=RAMP_STEPS).flat_map(|step| {
        let t = step as f32 / RAMP_STEPS as f32;
        [Role::Depth(t), Role::DepthLine(t)]
    });
    plain.into_iter().chain(ramps).fold(String::new(), |mut css, role| {
        let _ = write!(css, "{}:{};", property(role), theme.rgb(role).hex());
        css
    })
}

/// Name of the custom property that holds a role's colour.
#[must_use]
pub fn property(role: Role) -> String {
    let step = |t: f32| (t.clamp(0.0, 1.0) * RAMP_STEPS as f32).round() as u32;
    match role {
        Role::Ink => "--ink".to_owned(),
        Role::DimInk => "--dim-ink".to_owned(),
        Role::Ground => "--ground".to_owned(),
        Role::Raised => "--raised".to_owned(),
        Role::Glass => "--glass".to_owned(),
        Role::Behind => "--behind".to_owned(),
        Role::Hold => "--hold".to_owned(),
        Role::Watch => "--watch".to_owned(),
        Role::Stop => "--stop".to_owned(),
        Role::Grid => "--grid".to_owned(),
        Role::Depth(t) => format!("--depth-{}", step(t)),
        Role::DepthLine(t) => format!("--depth-line-{}", step(t)),
    }
}

struct Writer {
    text: String,
    colours: Colours,
}

impl Writer {
    fn open(&mut self, scene: &Scene) {
        let (width, height) = (number(scene.width_mm), number(scene.height_mm));
        let size = match self.colours {
            Colours::Properties => String::new(),
            Colours::Resolved(_) => format!(" width=\"{width}mm\" height=\"{height}mm\""),
        };
        let _ = writeln!(
            self.text,
            "<svg xmlns=\"http://www.w3.org/2000/svg\"{size} viewBox=\"0 0 {width} {height}\" role=\"img\" \
             font-family=\"'Fira Sans',sans-serif\">\n<title>{}</title>\n<desc>{}</desc>",
            escaped(&scene.title),
            escaped(&scene.description),
        );
        if let Colours::Resolved(_) = self.colours {
            self.item(&Rect::new(0.0, 0.0, scene.width_mm, scene.height_mm).filled(Role::Ground).into());
        }
    }

    fn item(&mut self, item: &Item) {
        match item {
            Item::Path(path) => self.path(path),
            Item::Rect(rect) => self.rect(rect),
            Item::Line(line) => self.line(line),
            Item::Text(text) => self.words(text),
            Item::Group(group) => self.group(group),
        }
    }

    fn path(&mut self, path: &Path) {
        self.text.push_str("<path d=\"");
        for segment in &path.segments {
            self.segment(*segment);
        }
        self.text.push('"');
        if path.rule == FillRule::EvenOdd {
            self.text.push_str(" fill-rule=\"evenodd\"");
        }
        self.fill(path.fill);
        self.stroke(path.stroke);
        self.text.push_str("/>\n");
    }

    fn segment(&mut self, segment: Segment) {
        match segment {
            Segment::Move(p) => self.step('M', &[p]),
            Segment::Line(p) => self.step('L', &[p]),
            Segment::Cubic(a, b, c) => self.step('C', &[a, b, c]),
            Segment::Close => self.text.push('Z'),
        }
    }

    fn step(&mut self, letter: char, points: &[Point]) {
        self.text.push(letter);
        for (i, point) in points.iter().enumerate() {
            let gap = if i == 0 { "" } else { " " };
            let _ = write!(self.text, "{gap}{} {}", number(point.x), number(point.y));
        }
    }

    fn rect(&mut self, rect: &Rect) {
        let _ = write!(
            self.text,
            "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"",
            number(rect.x_mm),
            number(rect.y_mm),
            number(rect.width_mm),
            number(rect.height_mm),
        );
        if rect.radius_mm > 0.0 {
            let _ = write!(self.text, " rx=\"{}\"", number(rect.radius_mm));
        }
        self.fill(rect.fill);
        self.stroke(rect.stroke);
        self.text.push_str("/>\n");
    }

    fn line(&mut self, line: &Line) {
        let [x1, y1, x2, y2] = [line.from.x, line.from.y, line.to.x, line.to.y].map(number);
        let _ = write!(self.text, "<line x1=\"{x1}\" y1=\"{y1}\" x2=\"{x2}\" y2=\"{y2}\"");
        self.stroke(Some(line.stroke));
        self.text.push_str("/>\n");
    }

    fn words(&mut self, text: &Text) {
        let [x, y, size] = [text.at.x, text.at.y, text.size_mm].map(number);
        let _ = write!(self.text, "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\"");
        self.text.push_str(match text.face {
            Face::Regular => "",
            Face::SemiBold => " font-weight=\"600\"",
            Face::Condensed => " font-family=\"'Fira Sans Condensed','Fira Sans',sans-serif\"",
        });
        self.text.push_str(match text.anchor {
            Anchor::Start => "",
            Anchor::Middle => " text-anchor=\"middle\"",
            Anchor::End => " text-anchor=\"end\"",
        });
        self.fill(Some(text.paint));
        let _ = writeln!(self.text, ">{}</text>", escaped(&text.text));
    }

    fn group(&mut self, group: &Group) {
        self.text.push_str("<g");
        if let Some(id) = &group.id {
            let _ = write!(self.text, " id=\"{}\"", escaped(id));
        }
        self.text.push_str(">\n");
        if let Some(label) = &group.label {
            let _ = writeln!(self.text, "<title>{}</title>", escaped(label));
        }
        match &group.clip {
            Some(clip) => self.clipped(clip, &group.items),
            None => group.items.iter().for_each(|item| self.item(item)),
        }
        self.text.push_str("</g>\n");
    }

    /// A nested viewport clips to its edges and needs no name that could clash on a page.
    fn clipped(&mut self, clip: &Rect, items: &[Item]) {
        let [x, y, w, h] = [clip.x_mm, clip.y_mm, clip.width_mm, clip.height_mm].map(number);
        let _ = writeln!(
            self.text,
            "<svg x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\" viewBox=\"{x} {y} {w} {h}\" overflow=\"hidden\">"
        );
        items.iter().for_each(|item| self.item(item));
        self.text.push_str("</svg>\n");
    }

    fn fill(&mut self, paint: Option<Paint>) {
        match paint {
            Some(paint) => self.colour("fill", paint),
            None => self.text.push_str(" fill=\"none\""),
        }
    }

    fn stroke(&mut self, stroke: Option<Stroke>) {
        let Some(stroke) = stroke else { return };
        self.colour("stroke", stroke.paint);
        let _ = write!(self.text, " stroke-width=\"{}\" stroke-linejoin=\"round\"", number(stroke.width_mm));
        if let Some((dash, gap)) = stroke.dash_mm {
            let _ = write!(self.text, " stroke-dasharray=\"{} {}\"", number(dash), number(gap));
        }
    }

    fn colour(&mut self, what: &str, paint: Paint) {
        let _ = match self.colours {
            // A presentation attribute is parsed as its CSS property is, so it takes `var()` (SVG 2, 6.6).
            Colours::Properties => write!(self.text, " {what}=\"var({})\"", property(paint.role)),
            Colours::Resolved(theme) => write!(self.text, " {what}=\"{}\"", theme.rgb(paint.role).hex()),
        };
        if paint.opacity < 1.0 {
            let _ = write!(self.text, " {what}-opacity=\"{}\"", number(paint.opacity));
        }
    }
}

/// Three decimals at most: a micrometre.
fn number(value: f64) -> String {
    let text = format!("{value:.3}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

fn escaped(text: &str) -> String {
    let mut safe = String::with_capacity(text.len());
    for letter in text.chars() {
        match letter {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            // Not a character of XML 1.0 (section 2.2).
            c if c < ' ' && !matches!(c, '\t' | '\n' | '\r') => safe.push('\u{fffd}'),
            '\u{fffe}' | '\u{ffff}' => safe.push('\u{fffd}'),
            c => safe.push(c),
        }
    }
    safe
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scene::Group;

    fn one(item: impl Into<Item>) -> Scene {
        Scene { width_mm: 10.0, height_mm: 5.0, title: "a < b".into(), items: vec![item.into()], ..Scene::default() }
    }

    #[test]
    fn a_file_has_its_true_size_and_its_own_colours() {
        let svg = write(&one(Rect::new(1.0, 1.0, 2.0, 2.0).filled(Role::Hold)), Colours::Resolved(Theme::Paper));
        assert!(svg.contains("width=\"10mm\" height=\"5mm\" viewBox=\"0 0 10 5\""));
        assert!(svg.contains(&format!("fill=\"{}\"", Theme::Paper.rgb(Role::Hold).hex())));
        assert!(!svg.contains("var("));
    }

    #[test]
    fn a_drawing_on_a_page_takes_the_pages_colours() {
        let svg = write(&one(Rect::new(1.0, 1.0, 2.0, 2.0).filled(Role::Depth(0.5))), Colours::Properties);
        assert!(svg.contains("fill=\"var(--depth-8)\"") && !svg.contains("mm\""), "{svg}");
        assert!(properties(Theme::Dark).contains("--depth-8:#"));
    }

    #[test]
    fn every_property_that_a_role_names_is_set() {
        let set = properties(Theme::Light);
        for role in [Role::Ink, Role::Behind, Role::Grid, Role::Depth(2.0), Role::Depth(-1.0), Role::DepthLine(0.333)] {
            assert!(set.contains(&format!("{}:#", property(role))), "{role:?}");
        }
    }

    #[test]
    fn words_cannot_break_out_of_their_element() {
        let label = Some("\"<script>&\u{0}".to_owned());
        let svg = write(&one(Group { label, ..Group::default() }), Colours::Properties);
        assert!(svg.contains("&quot;&lt;script&gt;&amp;\u{fffd}") && svg.contains("<title>a &lt; b</title>"), "{svg}");
    }

    #[test]
    fn numbers_are_short() {
        assert_eq!([1.0, 0.1 + 0.2, -0.0001, 1234.5678].map(number), ["1", "0.3", "0", "1234.568"]);
    }
}
