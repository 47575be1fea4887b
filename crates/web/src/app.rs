//! The server: what it holds, which addresses it answers, and how it is run.

use crate::error::WebError;
use crate::guard::guard;
use crate::planner::Planner;
use crate::{
    assets, cabinet_routes, kept_routes, learn_routes, pieces_routes, routes, safety_routes, setup, shop_routes,
    sizing_routes, try_routes,
};
use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware::from_fn_with_state;
use axum::routing::{get, post};
use std::sync::Arc;
use store::Store;
use tokio::net::TcpListener;
use tokio::sync::Semaphore;

/// A form of a recipe is a few hundred bytes.
const BODY_MAX: usize = 64 * 1024;
/// A drawing, a scan.
const DRAWING_MAX: usize = 32 * 1024 * 1024;
/// Jobs at once: planning uses all cores by itself, and a question that waits can still be dropped.
const JOBS: usize = 2;

/// What the pages are made from.
#[derive(Debug)]
pub struct App {
    pub(crate) store: Store,
    pub(crate) planner: Planner,
    jobs: Semaphore,
}

impl App {
    /// A server over a store.
    #[must_use]
    pub const fn new(store: Store) -> Self {
        Self { store, planner: Planner::new(), jobs: Semaphore::const_new(JOBS) }
    }

    /// Does long work beside the server's own threads. A question that was taken back before its turn
    /// came costs nothing.
    pub(crate) async fn work<T: Send + 'static>(
        self: &Arc<Self>,
        job: impl FnOnce(&Self) -> Result<T, WebError> + Send + 'static,
    ) -> Result<T, WebError> {
        let _turn = self.jobs.acquire().await.map_err(|_| WebError::Panicked)?;
        let app = Arc::clone(self);
        tokio::task::spawn_blocking(move || job(&app)).await.map_err(|_| WebError::Panicked)?
    }
}

/// All addresses. Requests must name `port` of this computer as their host.
pub fn router(app: App, port: u16) -> Router {
    Router::new()
        .route("/", get(routes::first_piece))
        .route("/units", post(routes::set_units))
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
        .route("/sizing", get(sizing_routes::sizing))
        .route("/sizing/try", post(sizing_routes::try_sizing))
        .route("/reference", get(routes::reference))
        .route("/cabinet/worker.js", get(cabinet_routes::worker))
        .route("/cabinet/{id}", get(cabinet_routes::cabinet))
        .route("/cabinet/{id}/log", post(cabinet_routes::log))
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
        .route("/shop/{id}/try", post(shop_routes::try_line))
        .route("/shop/{id}/keep", post(shop_routes::keep))
        .route("/shop/{id}/add", post(shop_routes::add))
        .route("/shop/{id}/remove/{part}", post(shop_routes::remove))
        .route("/static/theme.css", get(assets::theme))
        .route("/static/{name}", get(assets::asset))
        .route("/static/fonts/{name}", get(assets::font))
        .fallback(async || WebError::NotFound)
        .layer(DefaultBodyLimit::max(BODY_MAX))
        .layer(from_fn_with_state(port, guard))
        .with_state(Arc::new(app))
}

/// Answers requests until `stop` is done. The listener must be on a loopback address.
///
/// # Errors
/// When the listener fails, or is not on a loopback address.
pub async fn serve(
    listener: TcpListener,
    app: App,
    stop: impl Future<Output = ()> + Send + 'static,
) -> std::io::Result<()> {
    let address = listener.local_addr()?;
    if !address.ip().is_loopback() {
        let words = format!("{address} can be reached from other computers; listen on 127.0.0.1");
        return Err(std::io::Error::new(std::io::ErrorKind::AddrNotAvailable, words));
    }
    axum::serve(listener, router(app, address.port())).with_graceful_shutdown(stop).await
}
