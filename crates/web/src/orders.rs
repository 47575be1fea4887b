//! Orders under way and done: a few, in memory. What is made of them is downloaded; the table stays with who sent it.

use crate::app::App;
use crate::error::WebError;
use crate::files::packed;
use crate::order_wish::{EDGE, OrderWish};
use crate::planner::Question;
use ::batch::document::{OrderDocument, SlotEntry};
use ::batch::{Order, OrderError, OrderOptions, Step, Watch, order_watched};
use paper::{Label, Sheet, cabinet_card, label_sheet};
use std::collections::VecDeque;
use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};
use stencil::nest::{NestedSheet, Piece, cut_svg};
use store::PieceId;
use tokio::sync::watch;

/// Orders that are kept; the oldest makes room.
const KEPT: usize = 6;

/// All of them.
#[derive(Debug, Default)]
pub(crate) struct Orders {
    next: AtomicU64,
    kept: Mutex<VecDeque<Arc<Underway>>>,
}

/// One of them.
#[derive(Debug)]
pub(crate) struct Underway {
    pub number: u64,
    pub piece: PieceId,
    /// What was asked for.
    pub wish: OrderWish,
    pub state: watch::Sender<Stands>,
    cancelled: AtomicBool,
}

/// How one stands.
#[derive(Debug, Clone)]
pub(crate) enum Stands {
    /// It waits for its turn.
    Waiting,
    /// What is being done, and the share of all that is done.
    At(Step, f64),
    Failed(String),
    Done(Arc<Ordered>),
}

/// What was made of one.
#[derive(Debug)]
pub(crate) struct Ordered {
    pub document: OrderDocument,
    /// For each evening its sheets.
    pub sheets: Vec<Vec<CutSheet>>,
    pub files: Vec<OrderFile>,
}

/// A sheet for the cutter among the files.
#[derive(Debug, Clone)]
pub(crate) struct CutSheet {
    pub name: String,
    /// Along the roll, in mm.
    pub length_mm: f64,
    /// Across it, in mm.
    pub width_mm: f64,
    /// As far as its pieces and the edge beyond them reach across, in mm.
    pub reach_mm: f64,
}

/// A file of an order.
#[derive(Debug, Clone)]
pub(crate) struct OrderFile {
    pub name: String,
    pub kind: &'static str,
    pub bytes: Vec<u8>,
}

impl Orders {
    /// Begins an order, and says that it is new; the oldest of those that are kept is cancelled and forgotten. The same
    /// order under the same key is the one that was begun before.
    ///
    /// # Errors
    /// [`WebError::OtherUnderKey`] when another order was begun under its key.
    pub(crate) fn begin(&self, piece: PieceId, wish: OrderWish) -> Result<(Arc<Underway>, bool), WebError> {
        let mut kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        let same_key = |one: &&Arc<Underway>| one.piece == piece && wish.key.is_some() && one.wish.key == wish.key;
        if let Some(before) = kept.iter().find(same_key) {
            let same = before.wish == wish;
            return if same { Ok((Arc::clone(before), false)) } else { Err(taken(wish)) };
        }
        let number = self.next.fetch_add(1, Ordering::Relaxed) + 1;
        let state = watch::Sender::new(Stands::Waiting);
        let begun = Arc::new(Underway { number, piece, wish, state, cancelled: AtomicBool::new(false) });
        kept.push_back(Arc::clone(&begun));
        while kept.len() > KEPT {
            if let Some(old) = kept.pop_front() {
                old.cancel();
            }
        }
        Ok((begun, true))
    }

    /// An order of a piece.
    pub(crate) fn find(&self, piece: PieceId, number: u64) -> Option<Arc<Underway>> {
        self.of(piece).into_iter().find(|one| one.number == number)
    }

    /// All orders of a piece, the oldest first.
    pub(crate) fn of(&self, piece: PieceId) -> Vec<Arc<Underway>> {
        let kept = self.kept.lock().unwrap_or_else(PoisonError::into_inner);
        kept.iter().filter(|one| one.piece == piece).cloned().collect()
    }
}

fn taken(wish: OrderWish) -> WebError {
    WebError::OtherUnderKey(wish.key.unwrap_or_default())
}

/// What is asked of an order, its table apart.
#[derive(Debug)]
pub(crate) struct Asked {
    pub options: OrderOptions,
    /// How long better layouts are looked for, all evenings together.
    pub nesting: Duration,
}

impl Underway {
    /// Ends it at its next step; a layout that is being looked for is ended at once.
    pub(crate) fn cancel(&self) {
        self.cancelled.store(true, Ordering::Relaxed);
    }

    pub(crate) fn is_cancelled(&self) -> bool {
        self.cancelled.load(Ordering::Relaxed)
    }

    /// Does all of it beside the server's own threads.
    pub(crate) async fn run(self: Arc<Self>, app: Arc<App>, asked: Asked) {
        let one = Arc::clone(&self);
        let worked = app.work(move |app| one.made(app, &asked)).await;
        self.state.send_replace(match worked {
            Ok(Ok(made)) => Stands::Done(Arc::new(made)),
            Ok(Err(fault)) => Stands::Failed(fault.to_string()),
            Err(fault) => Stands::Failed(fault.to_string()),
        });
    }

    /// What is made of it; or, inside, why nothing can be.
    fn made(&self, app: &App, asked: &Asked) -> Result<Result<Ordered, OrderError>, WebError> {
        let question = app.question(self.piece, &Vec::new())?;
        let began: Mutex<(usize, Instant)> = Mutex::new((0, Instant::now()));
        let goes_on = |step: Step| {
            if let Step::Nesting { evening, .. } = step {
                *began.lock().unwrap_or_else(PoisonError::into_inner) = (evening, Instant::now());
            }
            self.state.send_replace(Stands::At(step, share(step, 0.0)));
            !self.is_cancelled()
        };
        let spent = |evening: usize, of: usize| {
            let since = began.lock().unwrap_or_else(PoisonError::into_inner).1;
            let share_of_time = since.elapsed().as_secs_f64() * of as f64 / asked.nesting.as_secs_f64().max(1e-3);
            let step = Step::Nesting { evening, of };
            self.state.send_if_modified(|stands| moved(stands, step, share_of_time));
            if self.is_cancelled() { 1.0 } else { share_of_time }
        };
        let watch = Watch { spent: &spent, goes_on: &goes_on };
        let (piece, shop) = (question.piece()?, &question.shop);
        match order_watched(piece, &question.stored.artwork, &self.wish.table, shop, &asked.options, &watch) {
            // A layout that was ended early is not what was asked for.
            Ok(_) if self.is_cancelled() => Ok(Err(OrderError::Cancelled)),
            Ok(order) => Ok(Ok(ordered(&order, &question)?)),
            Err(fault) => Ok(Err(fault)),
        }
    }
}

/// Share of all work that is done when a step begins, `within` of it done: by what such orders take.
fn share(step: Step, within: f64) -> f64 {
    match step {
        Step::Lettering => 0.02,
        Step::Planning => 0.15,
        Step::Evenings => 0.25,
        Step::Nesting { evening, of } => 0.3 + 0.7 * (evening as f64 + within.clamp(0.0, 1.0)) / of.max(1) as f64,
    }
}

/// Brings the share on; says whether that is worth telling.
fn moved(stands: &mut Stands, step: Step, within: f64) -> bool {
    let now = share(step, within);
    let Stands::At(_, before) = stands else { return false };
    let worth = now - *before >= 0.01;
    if worth {
        *stands = Stands::At(step, now);
    }
    worth
}

fn ordered(order: &Order, question: &Question) -> Result<Ordered, WebError> {
    let document = OrderDocument::new(order);
    let paper = Sheet::usual(question.shop.units);
    let (sheets, mut files) = sheets(order);
    let pdf = |name: &str, bytes: Vec<u8>| OrderFile { name: name.to_owned(), kind: "application/pdf", bytes };
    let (piece, shop) = (&order.plan.piece.name, &order.plan.shop);
    files.push(pdf("labels.pdf", label_sheet(piece, shop, &labels(&document), paper, None)?));
    files.push(pdf("cabinet-card.pdf", cabinet_card(&order.plan, paper, None)?));
    let schedule = document.csv().map_err(|fault| WebError::Faulty(fault.to_string()))?;
    files.push(OrderFile {
        name: "schedule.csv".to_owned(),
        kind: "text/csv; charset=utf-8",
        bytes: schedule.into_bytes(),
    });
    let json = serde_json::to_vec_pretty(&document)?;
    files.push(OrderFile { name: "batch.json".to_owned(), kind: "application/json", bytes: json });
    let zip = packed(files.iter().map(|file| (file.name.as_str(), file.bytes.as_slice())))?;
    files.push(OrderFile { name: "order.zip".to_owned(), kind: "application/zip", bytes: zip });
    Ok(Ordered { document, sheets, files })
}

/// The sheets of each evening: their names and sizes, and themselves.
fn sheets(order: &Order) -> (Vec<Vec<CutSheet>>, Vec<OrderFile>) {
    let (mut all, mut files) = (Vec::new(), Vec::new());
    for (index, sheet) in order.sheets.iter().enumerate() {
        let mut own = Vec::new();
        for (part, stretch) in sheet.nested.sheets.iter().enumerate() {
            let title = format!("{}, evening {}", order.plan.piece.name, index + 1);
            let suffix = if sheet.nested.sheets.len() > 1 { format!("-{}", part + 1) } else { String::new() };
            let name = format!("sheet-{}{suffix}.svg", index + 1);
            let bytes = cut_svg(stretch, &sheet.pieces, &sheet.cuts, &title).into_bytes();
            own.push(CutSheet {
                name: name.clone(),
                length_mm: stretch.used_mm,
                width_mm: stretch.width_mm,
                reach_mm: reach_mm(stretch, &sheet.pieces),
            });
            files.push(OrderFile { name, kind: "image/svg+xml", bytes });
        }
        all.push(own);
    }
    (all, files)
}

/// As far as the pieces and the edge beyond them reach across a sheet, in mm.
fn reach_mm(sheet: &NestedSheet, pieces: &[Piece]) -> f64 {
    let outlines = sheet.placements.iter().filter_map(|at| Some(at.outline(pieces.get(at.piece)?)));
    let far = outlines.flat_map(|outline| outline.0).map(|point| point.y).fold(0.0, f64::max);
    (far + EDGE.to_mm()).min(sheet.width_mm)
}

fn labels(document: &OrderDocument) -> Vec<Label> {
    let label = |slot: &SlotEntry| Label {
        number: slot.number.to_string(),
        name: slot.name.clone(),
        note: match slot.more.is_empty() {
            true => format!("evening {}, line {}", slot.evening, slot.line),
            false => format!("{} · evening {}, line {}", slot.more, slot.evening, slot.line),
        },
    };
    document.slots.iter().map(label).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_share_grows_with_every_step_and_ends_at_the_whole() {
        let nesting = |evening| Step::Nesting { evening, of: 2 };
        let steps = [Step::Lettering, Step::Planning, Step::Evenings, nesting(0), nesting(1)];
        let shares: Vec<f64> = steps.iter().map(|step| share(*step, 0.0)).collect();
        assert!(shares.windows(2).all(|pair| pair[0] < pair[1]), "{shares:?}");
        assert!((share(nesting(1), 2.0) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn the_oldest_makes_room_and_is_cancelled() {
        let orders = Orders::default();
        let begin = |piece| orders.begin(PieceId(piece), OrderWish::default()).unwrap().0;
        let first = begin(1);
        (0..KEPT).for_each(|_| drop(begin(2)));
        assert!(first.is_cancelled() && orders.find(PieceId(1), first.number).is_none());
        assert_eq!(orders.of(PieceId(2)).len(), KEPT);
        let last = orders.of(PieceId(2)).pop().unwrap().number;
        assert!(orders.find(PieceId(2), last).is_some() && orders.find(PieceId(3), last).is_none());
    }

    #[test]
    fn the_same_order_under_the_same_key_is_begun_once() {
        let orders = Orders::default();
        let wish = |table: &str| OrderWish { key: Some("k".into()), table: table.into(), ..OrderWish::default() };
        let (first, new) = orders.begin(PieceId(1), wish("name\nA")).unwrap();
        let (again, newer) = orders.begin(PieceId(1), wish("name\nA")).unwrap();
        assert!(new && !newer && first.number == again.number);
        assert!(matches!(orders.begin(PieceId(1), wish("name\nB")), Err(WebError::OtherUnderKey(key)) if key == "k"));
        assert!(orders.begin(PieceId(2), wish("name\nB")).unwrap().1, "another piece has keys of its own");
    }
}
