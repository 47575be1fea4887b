//! The server: what it holds, which addresses it answers, and how it is run.

use crate::error::WebError;
use crate::guard::guard;
use crate::ledger::Telling;
use crate::orders::Orders;
use crate::pairing::door::{Counted, Door, Peer};
use crate::pairing::{self, Pairing};
use crate::planner::Planner;
use crate::{
    api, assets, cabinet_routes, calibration_routes, judgement_routes, keep_routes, kept_routes, learn_routes,
    order_routes, pieces_routes, routes, runs_routes, safety_routes, setup, shop_routes, sizing_routes, spoken,
    stock_routes, try_routes,
};
use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware::{from_fn, from_fn_with_state};
use axum::routing::{get, post};
use std::io;
use std::net::SocketAddr;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};
use store::Store;
use tokio::net::TcpListener;
use tokio::sync::{Semaphore, watch};
use tokio::task::JoinSet;

/// A form of a recipe is a few hundred bytes.
const BODY_MAX: usize = 64 * 1024;
/// A drawing, a scan.
const DRAWING_MAX: usize = 32 * 1024 * 1024;
/// An exported file: it is unpacked in memory.
const EXPORTED_MAX: usize = 256 * 1024 * 1024;
/// A backup: it goes to the disk as it comes.
const BACKUP_MAX: usize = 2_000_000_000;
/// Questions that may wait for their turn; one more is told to come back.
const WAITING_MAX: usize = 512;
/// Jobs at once: planning uses all cores by itself, and a question that waits can still be dropped.
const JOBS: usize = 2;

/// What the pages are made from. A copy shares all of it.
#[derive(Debug, Clone)]
pub struct App {
    pub(crate) store: Arc<Store>,
    pub(crate) planner: Arc<Planner>,
    pub(crate) pairing: Arc<Pairing>,
    pub(crate) orders: Arc<Orders>,
    /// Whether its pages go to other devices, which may not do all that this computer may.
    pub(crate) network: bool,
    /// How many logs are kept and not yet told of, and whose turn it is.
    pub(crate) telling: Arc<Telling>,
    jobs: Arc<Semaphore>,
    waiting: Arc<AtomicUsize>,
}

impl App {
    /// A server over a store.
    #[must_use]
    pub fn new(store: Store) -> Self {
        Self {
            store: Arc::new(store),
            planner: Arc::new(Planner::new()),
            pairing: Arc::new(Pairing::new()),
            orders: Arc::new(Orders::default()),
            network: false,
            telling: Arc::new(Telling::default()),
            jobs: Arc::new(Semaphore::new(JOBS)),
            waiting: Arc::new(AtomicUsize::new(0)),
        }
    }

    /// Does long work beside the server's own threads, in the order in which it was asked for. A question that was
    /// taken back before its turn came costs nothing.
    pub(crate) async fn work<T: Send + 'static>(
        self: &Arc<Self>,
        job: impl FnOnce(&Self) -> Result<T, WebError> + Send + 'static,
    ) -> Result<T, WebError> {
        let _place = Waiting::new(&self.waiting)?;
        let _turn = self.jobs.acquire().await.map_err(|_| WebError::Panicked)?;
        let app = Arc::clone(self);
        tokio::task::spawn_blocking(language::carried(move || job(&app))).await.map_err(|_| WebError::Panicked)?
    }
}

/// A place in the queue, free again when the question is answered or taken back.
struct Waiting<'a>(&'a AtomicUsize);

impl<'a> Waiting<'a> {
    fn new(waiting: &'a AtomicUsize) -> Result<Self, WebError> {
        let place = Self(waiting);
        let before = waiting.fetch_add(1, Ordering::Relaxed);
        if before < WAITING_MAX { Ok(place) } else { Err(WebError::Busy) }
    }
}

impl Drop for Waiting<'_> {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::Relaxed);
    }
}

/// All addresses, for this computer alone. Requests must name `port` of this computer as their host.
pub fn router(app: App, port: u16) -> Router {
    behind(&app, Door::here(port))
}

/// All addresses, behind a door.
pub(crate) fn behind(app: &App, door: Door) -> Router {
    let app = Arc::new(App { network: door.network, ..app.clone() });
    Router::new()
        .route("/", get(routes::first_piece))
        .route("/units", post(routes::set_units))
        .route("/language", post(spoken::set))
        .route("/pieces", get(pieces_routes::list))
        .route("/pieces", post(pieces_routes::begin).layer(DefaultBodyLimit::max(DRAWING_MAX)))
        .route("/piece/{id}", get(routes::piece))
        .route("/piece/{id}/copy", post(pieces_routes::copy))
        .route("/piece/{id}/shelve", post(pieces_routes::shelve))
        .route("/piece/{id}/try", post(try_routes::try_recipe))
        .route("/piece/{id}/keep", post(routes::keep))
        .route("/piece/{id}/undo", post(routes::undo))
        .route("/piece/{id}/redo", post(routes::redo))
        .route("/piece/{id}/preview.png", get(routes::preview))
        .route("/piece/{id}/solid.glb", get(routes::solid))
        .route("/piece/{id}/depth.png", get(routes::depth_map))
        .route("/piece/{id}/section.svg", get(routes::section_drawing))
        .route("/piece/{id}/section.csv", get(routes::section_values))
        .route("/piece/{id}/drawn.svg", get(routes::drawn))
        .route("/piece/{id}/stages/{stage}", get(routes::stage))
        .route("/piece/{id}/at", get(routes::at))
        .route("/piece/{id}/instant", get(routes::instant_of_run))
        .route("/piece/{id}/file", get(kept_routes::file).post(kept_routes::keep_file))
        .route("/piece/{id}/history", get(kept_routes::history))
        .route("/piece/{id}/revision/{number}", post(kept_routes::bring_back))
        .route("/piece/{id}/files.zip", get(routes::all_files))
        .route("/piece/{id}/files/{name}", get(routes::file))
        .route("/piece/{id}/learn/{run}", get(learn_routes::learn).post(learn_routes::keep))
        .route("/piece/{id}/order", get(order_routes::ask))
        .route("/piece/{id}/order", post(order_routes::begin).layer(DefaultBodyLimit::max(order_routes::TABLE_MAX)))
        .route("/piece/{id}/order/{number}", get(order_routes::show))
        .route("/piece/{id}/order/{number}/events", get(order_routes::events))
        .route("/piece/{id}/order/{number}/cancel", post(order_routes::cancel))
        .route("/piece/{id}/order/{number}/files/{name}", get(order_routes::file))
        .route("/sizing", get(sizing_routes::sizing))
        .route("/sizing/try", post(sizing_routes::try_sizing))
        .route("/piece/{id}/recipes", get(judgement_routes::recipes))
        .route("/piece/{id}/price", get(judgement_routes::price))
        .route("/piece/{id}/quote.pdf", get(judgement_routes::quote_pdf))
        .route("/piece/{id}/quote.csv", get(judgement_routes::quote_csv))
        .route("/class", get(judgement_routes::class).post(judgement_routes::run_class))
        .route("/class/pack.pdf", get(judgement_routes::class_pdf))
        .route("/reference", get(routes::reference))
        .route("/cabinet/worker.js", get(cabinet_routes::worker))
        .route("/cabinet/{id}", get(cabinet_routes::cabinet))
        .route("/cabinet", get(pairing::routes::at_the_cabinet))
        .route("/pair", get(pairing::routes::pair))
        .route("/pair/code", post(pairing::routes::open))
        .route("/pair/withdraw", post(pairing::routes::withdraw))
        .route("/enter", get(pairing::routes::enter).post(pairing::routes::come_in))
        .route("/leave", post(pairing::routes::leave))
        .route("/keep", get(keep_routes::keep))
        .route("/keep/backup", get(keep_routes::backup))
        .route("/keep/restore", post(keep_routes::restore).layer(DefaultBodyLimit::max(BACKUP_MAX)))
        .route("/keep/everything", get(keep_routes::export_all))
        .route("/keep/piece/{id}", get(keep_routes::export_piece))
        .route("/keep/shop/{id}", get(keep_routes::export_shop))
        .route("/keep/import", post(keep_routes::import).layer(DefaultBodyLimit::max(EXPORTED_MAX)))
        .nest("/api", api::routes())
        .route("/piece/{id}/safety", get(safety_routes::of_piece))
        .route("/shop/{id}", get(shop_routes::shop))
        .route("/start", get(setup::routes::start).post(setup::routes::keep_start))
        .route("/start/try", post(setup::routes::try_start))
        .route("/shops", get(setup::routes::shops))
        .route("/shop/{id}/choose", post(setup::routes::choose))
        .route("/shop/{id}/basics", get(setup::routes::basics).post(setup::routes::keep_basics))
        .route("/shop/{id}/basics/try", post(setup::routes::try_basics))
        .route("/shop/{id}/file", get(setup::routes::file).post(setup::routes::keep_file))
        .route("/shop/{id}/safety", get(safety_routes::of_shop))
        .route("/shop/{id}/runs", get(runs_routes::of_shop))
        .route("/shop/{id}/runs.csv", get(runs_routes::shop_csv))
        .route("/piece/{id}/runs", get(runs_routes::of_piece))
        .route("/piece/{id}/runs.csv", get(runs_routes::piece_csv))
        .route("/shop/{id}/calibration", get(calibration_routes::calibration).post(calibration_routes::enter))
        .route("/shop/{id}/calibration/remove", post(calibration_routes::remove))
        .route("/shop/{id}/stock", get(stock_routes::stock).post(stock_routes::enter))
        .route("/shop/{id}/stock/back", post(stock_routes::take_back))
        .route("/shop/{id}/stock.csv", get(stock_routes::ledger_csv))
        .route("/shop/{id}/try", post(shop_routes::try_line))
        .route("/shop/{id}/keep", post(shop_routes::keep))
        .route("/shop/{id}/add", post(shop_routes::add))
        .route("/shop/{id}/remove/{part}", post(shop_routes::remove))
        .route("/static/theme.css", get(assets::theme))
        .route("/static/{name}", get(assets::asset))
        .route("/static/fonts/{name}", get(assets::font))
        .fallback(async || WebError::NotFound)
        .layer(DefaultBodyLimit::max(BODY_MAX))
        .layer(from_fn_with_state((Arc::clone(&app), Arc::new(door)), guard))
        // Outermost: a refusal, too, is read by somebody.
        .layer(from_fn(spoken::speak))
        .with_state(app)
}

/// Where requests come in.
#[derive(Debug)]
pub struct Doors {
    /// On the loopback address: this computer alone.
    pub here: TcpListener,
    /// On other addresses of this computer, for devices that are paired.
    pub network: Vec<TcpListener>,
}

/// Answers requests of this computer until `stop` is done. The listener must be on a loopback address.
///
/// # Errors
/// When the listener fails, or is not on a loopback address.
pub async fn serve(listener: TcpListener, app: App, stop: impl Future<Output = ()> + Send + 'static) -> io::Result<()> {
    serve_at(Doors { here: listener, network: Vec::new() }, app, stop).await
}

/// Answers requests at all doors until `stop` is done.
///
/// # Errors
/// When a listener fails, or the one for this computer is not on a loopback address.
pub async fn serve_at(doors: Doors, app: App, stop: impl Future<Output = ()> + Send + 'static) -> io::Result<()> {
    let address = doors.here.local_addr()?;
    if !address.ip().is_loopback() {
        let words = format!("{address} can be reached from other computers; listen on 127.0.0.1");
        return Err(io::Error::new(io::ErrorKind::AddrNotAvailable, words));
    }
    let addresses = doors.network.iter().map(TcpListener::local_addr).collect::<io::Result<Vec<SocketAddr>>>()?;
    // Nobody set them before: the app is new here.
    let _ = app.pairing.addresses.set(addresses.clone());
    let (ended, end) = watch::channel(());
    let until = |mut end: watch::Receiver<()>| async move {
        // An error says that the sender is gone, which ends it too.
        let _ = end.changed().await;
    };
    let mut serving = JoinSet::new();
    for (listener, address) in doors.network.into_iter().zip(addresses) {
        let routes = behind(&app, Door::network(address));
        let routes = routes.into_make_service_with_connect_info::<Peer>();
        let served = axum::serve(Counted::new(listener), routes).with_graceful_shutdown(until(end.clone()));
        serving.spawn(served.into_future());
    }
    let routes = behind(&app, Door::here(address.port()));
    serving.spawn(axum::serve(doors.here, routes).with_graceful_shutdown(until(end)).into_future());
    serving.spawn(async move {
        stop.await;
        drop(ended);
        Ok(())
    });
    while let Some(done) = serving.join_next().await {
        done.map_err(io::Error::other)??;
    }
    Ok(())
}
