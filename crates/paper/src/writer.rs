//! Pages of frames into the bytes of a tagged PDF.
//!
//! The file is written as PDF/UA-1 (ISO 14289-1) and checked as far as the PDF library checks it:
//! a title, a language, every character mapped to text, every picture with words for it. Whether the
//! order and the words serve a listener is for people to judge.

use crate::drawing;
use crate::error::PaperError;
use crate::frame::{Frame, Item, Role};
use crate::sheet::{Date, MM_PER_POINT, Sheet};
use krilla::configure::{Accessibility, ConfigurationBuilder};
use krilla::destination::XyzDestination;
use krilla::error::KrillaError;
use krilla::geom::{Point, Rect, Size, Transform};
use krilla::metadata::Metadata;
use krilla::outline::{Outline, OutlineNode};
use krilla::page::PageSettings;
use krilla::surface::Surface;
use krilla::tagging::{
    Artifact, ArtifactType, BBox, ContentTag, ListNumbering, Node, SpanTag, TableHeaderScope, Tag, TagGroup, TagKind,
    TagTree,
};
use krilla::{Document, SerializeSettings};
use language::Language;
use std::num::NonZeroU16;

/// What a document says of itself.
#[derive(Debug, Clone)]
pub(crate) struct About {
    pub(crate) title: String,
    /// Who made it.
    pub(crate) author: String,
    pub(crate) date: Option<Date>,
}

/// Writes pages, each a frame from the sheet's top left corner.
pub(crate) fn write(sheet: Sheet, pages: &[Frame], about: &About) -> Result<Vec<u8>, PaperError> {
    let mut document = Document::new_with(settings());
    document.set_metadata(metadata(about));
    let (mut tags, mut outline) =
        (TagTree::new().with_lang(Some(Language::current().tag().to_owned())), Outline::new());
    for (index, frame) in pages.iter().enumerate() {
        page(&mut document, sheet, index, frame).into_iter().for_each(|node| tags.push(node));
        headings(frame, 0.0, &mut |level, text, y| {
            if level <= 2 {
                let place = XyzDestination::new(index, Point::from_xy(0.0, points(y)));
                outline.push_child(OutlineNode::new(text.to_owned(), place));
            }
        });
    }
    document.set_tag_tree(tags);
    document.set_outline(outline);
    document.finish().map_err(fault)
}

fn settings() -> SerializeSettings {
    let configuration = ConfigurationBuilder::new()
        .with_accessibility_validator(Accessibility::UA1)
        .finish()
        .expect("PDF/UA-1 alone sets the version of the file");
    SerializeSettings { configuration, ..SerializeSettings::default() }
}

fn metadata(about: &About) -> Metadata {
    let metadata = Metadata::new()
        .title(about.title.clone())
        .authors(vec![about.author.clone()])
        .creator("Sabulo".to_owned())
        .language(Language::current().tag().to_owned());
    match about.date {
        Some(date) => metadata.creation_date(date.stamp()),
        None => metadata,
    }
}

fn fault(error: KrillaError) -> PaperError {
    match error {
        KrillaError::Image(_, _, fault) => PaperError::PreviewBroken { fault },
        other => PaperError::Write(other),
    }
}

fn points(mm: f64) -> f32 {
    (mm / MM_PER_POINT) as f32
}

fn page(document: &mut Document, sheet: Sheet, index: usize, frame: &Frame) -> Vec<Node> {
    let (width, height) = sheet.size_mm();
    let size = Size::from_wh(points(width), points(height)).expect("a sheet has a size");
    let mut page = document.start_page_with(PageSettings::new(size));
    let mut surface = page.surface();
    surface.push_transform(&Transform::from_scale(points(1.0), points(1.0)));
    let nodes = Pen { surface: &mut surface, page: index }.frame(frame, 0.0, 0.0);
    surface.pop();
    surface.finish();
    page.finish();
    nodes
}

/// Draws on one page.
struct Pen<'a, 'b> {
    surface: &'a mut Surface<'b>,
    page: usize,
}

impl Pen<'_, '_> {
    /// Draws a frame whose parent's corner is at `x`, `y`, and gives what it is in the tag tree.
    fn frame(&mut self, frame: &Frame, x: f64, y: f64) -> Vec<Node> {
        let (x, y) = (x + frame.x, y + frame.y);
        if let Role::Figure(_) | Role::Footer = frame.role {
            return self.whole(frame, x, y);
        }
        let children = frame.items.iter().flat_map(|item| self.item(item, frame, x, y)).collect();
        match tag(frame) {
            Some(tag) => vec![TagGroup::with_children(tag, children).into()],
            None => children,
        }
    }

    fn item(&mut self, item: &Item, frame: &Frame, x: f64, y: f64) -> Vec<Node> {
        if let Item::Frame(inner) = item {
            return self.frame(inner, x, y);
        }
        let tag = match item {
            Item::Line(..) => ContentTag::Span(SpanTag::empty()),
            _ => ContentTag::Artifact(Artifact::with_kind(ArtifactType::Layout)),
        };
        let id = self.surface.start_tagged(tag);
        self.draw(item, frame, x, y);
        self.surface.end_tagged();
        if matches!(item, Item::Line(..)) { vec![id.into()] } else { vec![] }
    }

    /// A frame that is one thing in the tag tree, or not in it.
    fn whole(&mut self, frame: &Frame, x: f64, y: f64) -> Vec<Node> {
        let Role::Figure(shows) = &frame.role else {
            self.surface.start_tagged(ContentTag::Artifact(Artifact::with_kind(ArtifactType::Footer)));
            self.contents(frame, x, y);
            self.surface.end_tagged();
            return vec![];
        };
        let id = self.surface.start_tagged(ContentTag::Other);
        self.contents(frame, x, y);
        self.surface.end_tagged();
        let rect = Rect::from_xywh(points(x), points(y), points(frame.width), points(frame.height));
        let tag = Tag::Figure(Some(shows.clone())).with_bbox(rect.map(|rect| BBox::new(self.page, rect)));
        vec![TagGroup::with_children(tag, vec![id.into()]).into()]
    }

    fn contents(&mut self, frame: &Frame, x: f64, y: f64) {
        for item in &frame.items {
            match item {
                Item::Frame(inner) => self.contents(inner, x + inner.x, y + inner.y),
                item => self.draw(item, frame, x, y),
            }
        }
    }

    fn draw(&mut self, item: &Item, frame: &Frame, x: f64, y: f64) {
        match item {
            Item::Frame(_) => {}
            Item::Line(dx, baseline, line) => drawing::line(self.surface, x + dx, y + baseline, line),
            Item::Mark(mark) => drawing::mark(self.surface, x, y, mark),
            Item::Scene(scene) => drawing::scene(self.surface, x, y, scene),
            Item::Photo(photo) => {
                let Some(size) = Size::from_wh(frame.width as f32, frame.height as f32) else { return };
                self.surface.push_transform(&Transform::from_translate(x as f32, y as f32));
                self.surface.draw_image(photo.image(), size);
                self.surface.pop();
            }
        }
    }
}

/// The tag of a frame; `None` when its content counts as that of the frame around it.
fn tag(frame: &Frame) -> Option<TagKind> {
    Some(match &frame.role {
        Role::Layout | Role::Footer | Role::Figure(_) => return None,
        Role::Section => Tag::Section.into(),
        Role::Heading(level) => Tag::Hn(NonZeroU16::new(*level)?, Some(frame.text())).into(),
        Role::Paragraph => Tag::P.into(),
        Role::List => Tag::L(ListNumbering::None).into(),
        Role::ListItem => Tag::LI.into(),
        Role::Label => Tag::Lbl.into(),
        Role::Body => Tag::LBody.into(),
        Role::Table(shows) => Tag::Table.with_summary(Some(shows.clone())).into(),
        Role::HeadRow | Role::Row => Tag::TR.into(),
        Role::HeadCell => Tag::TH(TableHeaderScope::Column).into(),
        Role::RowHead => Tag::TH(TableHeaderScope::Row).into(),
        Role::Cell => Tag::TD.into(),
    })
}

/// Finds the headings of a frame with their level, text and distance from the top.
fn headings(frame: &Frame, y: f64, found: &mut impl FnMut(u16, &str, f64)) {
    let y = y + frame.y;
    if let Role::Heading(level) = frame.role {
        found(level, &frame.text(), y);
        return;
    }
    for item in &frame.items {
        if let Item::Frame(inner) = item {
            headings(inner, y, found);
        }
    }
}
