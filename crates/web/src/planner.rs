//! Stored texts into plans, with the last few kept.

use crate::compose::Size;
use crate::error::WebError;
use crate::form::{Faults, Sent, Tried, try_out};
use crate::recent::Recent;
use artwork::drawing::Drawing;
use artwork::load::{LoadError, LoadOptions, load};
use language::{Language, say};
use picture::preview::Setting;
use piece::{Complaints, Piece, Shop};
use plan::calibration::{Calibrated, CalibrationError, calibrate};
use plan::carving::Ground;
use plan::{Detail, Plan, Refusal};
use quantity::UnitSystem;
use std::sync::Arc;
use store::StoredPiece;

/// A stored piece with what a form sent, ready to be planned.
#[derive(Debug)]
pub(crate) struct Question {
    pub stored: StoredPiece,
    /// With the units in which the page is written.
    pub shop: Shop,
    pub drawing: Arc<Drawing>,
    pub tried: Tried,
    pub detail: Detail,
    /// Whether there is a revision before the standing one.
    pub can_undo: bool,
    /// Whether one was undone that can come back.
    pub can_redo: bool,
}

/// Why a stored piece cannot even be asked about: its own files do not read.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Unreadable {
    /// The piece or the shop.
    #[error("{}", say!("the stored file does not read:\n{0}", _0))]
    File(#[from] Complaints),
    /// The drawing.
    #[error("{}", say!("the stored drawing does not read: {0}", _0))]
    Drawing(#[from] LoadError),
}

/// A piece's text, its drawing, the shop's text, units, detail and language: all that a plan and its words depend on.
type Key = (String, [u8; 32], String, UnitSystem, Detail, Language);

/// What a picture hangs on.
type Pictured = (Key, (Setting, Size));

/// Makes plans and keeps the last few. A plan of a large piece holds tens of megabytes.
#[derive(Debug)]
pub(crate) struct Planner {
    drawings: Recent<([u8; 32], Language), Arc<Drawing>, 8>,
    plans: Recent<Key, Arc<Plan>, 8>,
    pictures: Recent<Pictured, Arc<[u8]>, 24>,
    grounds: Recent<Key, Arc<Ground>, 2>,
    /// By the shop's file, whose coupons they are of.
    calibrations: Recent<String, Arc<Calibrated>, 4>,
}

impl Planner {
    pub(crate) const fn new() -> Self {
        Self {
            drawings: Recent::new(),
            plans: Recent::new(),
            pictures: Recent::new(),
            grounds: Recent::new(),
            calibrations: Recent::new(),
        }
    }

    /// Reads a stored piece and lays what was sent over it.
    pub(crate) fn question(
        &self,
        stored: StoredPiece,
        sent: &Sent,
        units: Option<UnitSystem>,
        detail: Detail,
    ) -> Result<Question, Unreadable> {
        let mut shop = piece::read_shop(&stored.shop_toml, "shop.toml")?;
        shop.units = units.unwrap_or(shop.units);
        let read = || load(&stored.artwork, &LoadOptions::default()).map(Arc::new);
        let drawing = self.drawings.get((stored.artwork_sha256, Language::current()), read)?;
        let tried = try_out(&stored.piece_toml, sent, &shop, shop.units)?;
        Ok(Question { stored, shop, drawing, tried, detail, can_undo: false, can_redo: false })
    }

    /// The plan of what was tried.
    pub(crate) fn plan(&self, question: &Question, piece: &Piece) -> Result<Arc<Plan>, Refusal> {
        let make = || plan::plan(piece, &question.drawing, &question.shop, question.detail).map(Arc::new);
        self.plans.get(question.key(&question.tried.text), make)
    }

    /// What the coupons of a shop's file say. Units are of no account.
    pub(crate) fn calibrated(&self, shop_toml: &str, shop: &Shop) -> Result<Arc<Calibrated>, CalibrationError> {
        self.calibrations.get(shop_toml.to_owned(), || calibrate(shop, &[]).map(Arc::new))
    }

    /// The plan of what is kept, to compare with; `None` when it cannot be planned.
    pub(crate) fn kept(&self, question: &Question) -> Option<Arc<Plan>> {
        let text = &question.stored.piece_toml;
        let piece = piece::read_piece(text, "piece.toml", &question.shop).ok()?;
        let make = || plan::plan(&piece, &question.drawing, &question.shop, question.detail).map(Arc::new);
        self.plans.get(question.key(text), make).ok()
    }

    /// The picture of what was tried in a setting and a size, made by `draw` of its plan.
    pub(crate) fn picture<E>(
        &self,
        question: &Question,
        setting: (Setting, Size),
        draw: impl FnOnce() -> Result<Arc<[u8]>, E>,
    ) -> Result<Arc<[u8]>, E> {
        self.pictures.get((question.key(&question.tried.text), setting), draw)
    }

    /// The ground of what was tried, to be read along lines.
    pub(crate) fn ground(&self, question: &Question, piece: &Piece) -> Result<Arc<Ground>, Refusal> {
        let make = || Ground::new(piece, &question.drawing, &question.shop, question.detail).map(Arc::new);
        self.grounds.get(question.key(&question.tried.text), make)
    }
}

impl Question {
    /// What was tried.
    ///
    /// # Errors
    /// What does not read in it.
    pub(crate) fn piece(&self) -> Result<&Piece, WebError> {
        let words = |faults: &Faults| faults.values().cloned().collect::<Vec<_>>().join("; ");
        self.tried.piece.as_ref().map_err(|faults| WebError::Faulty(words(faults)))
    }

    fn key(&self, piece_toml: &str) -> Key {
        let Self { stored, shop, detail, .. } = self;
        (
            piece_toml.to_owned(),
            stored.artwork_sha256,
            stored.shop_toml.clone(),
            shop.units,
            *detail,
            Language::current(),
        )
    }

    /// The address of something of this piece, with what is tried, in this question's detail.
    pub(crate) fn address(&self, of: &str) -> String {
        let quick = (self.detail == Detail::Instant).then(|| ("quick".to_owned(), "1".to_owned()));
        self.with_query(of, quick)
    }

    /// The same in full detail.
    pub(crate) fn full_address(&self, of: &str) -> String {
        self.with_query(of, None)
    }

    fn with_query(&self, of: &str, quick: Option<(String, String)>) -> String {
        let query: Sent = self.tried.changes.iter().cloned().chain(quick).collect();
        let query = serde_urlencoded::to_string(query).unwrap_or_default();
        format!("/piece/{}{of}?{query}", self.stored.id)
    }
}
