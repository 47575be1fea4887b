//! The fonts that text may be set in, and the choice among them.

use crate::note::Remark;
use language::say;
use std::fmt;
use std::sync::{Arc, LazyLock, Mutex, PoisonError};
use usvg::fontdb::{Database, Family, ID, Query, Stretch, Style, Weight};
use usvg::{Font, FontFamily, FontResolver, FontStretch, FontStyle};

/// The family that stands in for serif, cursive and anything unknown.
const SERIF: &str = "EB Garamond";
/// The family that stands in for sans-serif and monospace.
const SANS: &str = "Fira Sans";

static BUNDLED: LazyLock<Arc<Database>> = LazyLock::new(|| {
    const FILES: [&[u8]; 7] = [
        include_bytes!("../../../../assets/fonts/FiraSans-Regular.ttf"),
        include_bytes!("../../../../assets/fonts/FiraSans-SemiBold.ttf"),
        include_bytes!("../../../../assets/fonts/FiraSansCondensed-Regular.ttf"),
        include_bytes!("../../../../assets/fonts/Cinzel-Regular.ttf"),
        include_bytes!("../../../../assets/fonts/Cinzel-SemiBold.ttf"),
        include_bytes!("../../../../assets/fonts/EBGaramond-Regular.ttf"),
        include_bytes!("../../../../assets/fonts/EBGaramond-SemiBold.ttf"),
    ];
    Arc::new(database(FILES.map(<[u8]>::to_vec)))
});

/// A set of fonts.
#[derive(Clone)]
pub struct Fonts {
    database: Arc<Database>,
}

impl Fonts {
    /// The seven that come with the program: Fira Sans, Fira Sans Condensed, Cinzel and EB Garamond.
    #[must_use]
    pub fn bundled() -> Self {
        Self { database: Arc::clone(&BUNDLED) }
    }

    /// TrueType or OpenType files given by the caller. A file that is no font is passed over.
    #[must_use]
    pub fn from_files(files: impl IntoIterator<Item = Vec<u8>>) -> Self {
        Self { database: Arc::new(database(files)) }
    }

    /// The families, sorted.
    #[must_use]
    pub fn families(&self) -> Vec<String> {
        let mut names: Vec<String> =
            self.database.faces().filter_map(|face| Some(face.families.first()?.0.clone())).collect();
        names.sort_unstable();
        names.dedup();
        names
    }

    pub(crate) fn database(&self) -> Arc<Database> {
        Arc::clone(&self.database)
    }
}

impl fmt::Debug for Fonts {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_tuple("Fonts").field(&self.families()).finish()
    }
}

/// Collects what the choice of fonts could not honour.
#[derive(Default)]
pub(super) struct Replaced(Mutex<Vec<Remark>>);

impl Replaced {
    fn add(&self, remark: Remark) {
        let mut remarks = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        if !remarks.contains(&remark) {
            remarks.push(remark);
        }
    }

    /// Each remark once, in the order met.
    pub(super) fn into_remarks(self) -> Vec<Remark> {
        self.0.into_inner().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Chooses among a database's fonts, and remarks on every choice that is not what was asked for.
pub(super) fn resolver(replaced: &Replaced) -> FontResolver<'_> {
    let fallback = FontResolver::default_fallback_selector();
    FontResolver {
        select_font: Box::new(|font, database| select(font, database, replaced)),
        select_fallback: Box::new(move |character, tried, database| {
            let found = fallback(character, tried, database);
            if found.is_none() {
                replaced.add(Remark::GlyphMissing { character });
            }
            found
        }),
    }
}

fn select(font: &Font, database: &Database, replaced: &Replaced) -> Option<ID> {
    let named = font.families().iter().find_map(|family| query(font, &[kind(family)], database));
    let found = named.or_else(|| query(font, &[Family::Name(SERIF), Family::Name(SANS)], database));
    let found = found.or_else(|| database.faces().next().map(|face| face.id));
    let asked = asked(font);
    match found.and_then(|id| database.face(id)) {
        None => replaced.add(Remark::TextLeftOut { asked }),
        Some(face) => {
            let family = face.families.first().map_or("", |(name, _)| name.as_str());
            let used = described(family, face.weight.0, face.style == Style::Normal);
            if used != asked && !generic_honoured(font, named, face.weight.0) {
                replaced.add(Remark::FontReplaced { asked, used });
            }
        }
    }
    found
}

/// `serif` and its like ask for no family in particular.
fn generic_honoured(font: &Font, found: Option<ID>, weight: u16) -> bool {
    let generic = font.families().first().is_some_and(|family| !matches!(family, FontFamily::Named(_)));
    generic && found.is_some() && weight == font.weight() && font.style() == FontStyle::Normal
}

fn kind(family: &FontFamily) -> Family<'_> {
    match family {
        FontFamily::SansSerif | FontFamily::Monospace => Family::Name(SANS),
        FontFamily::Serif | FontFamily::Cursive | FontFamily::Fantasy => Family::Name(SERIF),
        FontFamily::Named(name) => Family::Name(name),
    }
}

fn query(font: &Font, families: &[Family<'_>], database: &Database) -> Option<ID> {
    let style = match font.style() {
        FontStyle::Normal => Style::Normal,
        FontStyle::Italic => Style::Italic,
        FontStyle::Oblique => Style::Oblique,
    };
    database.query(&Query { families, weight: Weight(font.weight()), stretch: stretch(font.stretch()), style })
}

fn stretch(stretch: FontStretch) -> Stretch {
    match stretch {
        FontStretch::UltraCondensed => Stretch::UltraCondensed,
        FontStretch::ExtraCondensed => Stretch::ExtraCondensed,
        FontStretch::Condensed => Stretch::Condensed,
        FontStretch::SemiCondensed => Stretch::SemiCondensed,
        FontStretch::Normal => Stretch::Normal,
        FontStretch::SemiExpanded => Stretch::SemiExpanded,
        FontStretch::Expanded => Stretch::Expanded,
        FontStretch::ExtraExpanded => Stretch::ExtraExpanded,
        FontStretch::UltraExpanded => Stretch::UltraExpanded,
    }
}

fn asked(font: &Font) -> String {
    let family = font.families().first().map_or_else(String::new, |family| match family {
        FontFamily::Named(name) => name.clone(),
        other => other.to_string(),
    });
    described(&family, font.weight(), font.style() == FontStyle::Normal)
}

fn described(family: &str, weight: u16, upright: bool) -> String {
    match (upright, weight) {
        (true, 400) => family.to_owned(),
        (false, 400) => say!("{family} italic"),
        (true, _) => say!("{family}, weight {weight}"),
        (false, _) => say!("{family} italic, weight {weight}"),
    }
}

fn database(files: impl IntoIterator<Item = Vec<u8>>) -> Database {
    let mut database = Database::new();
    files.into_iter().for_each(|file| database.load_font_data(file));
    database
}
