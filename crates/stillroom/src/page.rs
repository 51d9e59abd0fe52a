//! The local page: the room file laid on a desk, its plan drawn, every edit written back.
//!
//! Everything is drawn here and sent whole; the script of the page only saves a full load and adds dragging. Nothing leaves
//! this machine: the address is a loopback one, and the page may load only its own files.

mod assets;
mod desk;
mod edits;
mod fields;
mod frame;
mod guard;
mod sheet;
#[cfg(test)]
mod tests;
mod words;

use std::{collections::BTreeMap, net::Ipv4Addr, path::Path, sync::Arc};

use anyhow::{Context, Result};
use axum::{
    Router,
    extract::{DefaultBodyLimit, Form, Query, State},
    http::{HeaderMap, StatusCode, Uri, header},
    middleware,
    response::{Html, IntoResponse, Redirect, Response},
    routing::{get, post},
};
use maud::html;

use self::{
    desk::{Desk, Refusal},
    fields::{Filling, Kept},
    frame::SHEETS,
    guard::Guard,
    sheet::On,
};

/// Largest body taken: a room file, written in a form.
const LARGEST_BODY: usize = 48 * 1024 * 1024;

/// A room opened: where to look at it.
pub(crate) struct Opened {
    /// The address to open, with the word that lets one in.
    pub(crate) address: String,
    listener: std::net::TcpListener,
    router: Router,
}

/// Opens a room file at a port of this machine; at any free one for 0.
///
/// # Errors
/// Where the file cannot be read or the port is taken.
pub(crate) fn open(room: &Path, port: u16) -> Result<Opened> {
    let desk = Desk::open(room)?;
    let listener = std::net::TcpListener::bind((Ipv4Addr::LOCALHOST, port)).with_context(|| {
        format!("Port {port} of this machine cannot be used. Leave `--port` away, or name another.")
    })?;
    listener.set_nonblocking(true)?;
    let port = listener.local_addr()?.port();
    let guard = Arc::new(Guard::new(port)?);
    let address = format!("http://127.0.0.1:{port}/?key={}", guard.token());
    Ok(Opened { address, listener, router: router(desk, guard) })
}

impl Opened {
    /// Answers until Ctrl+C.
    ///
    /// # Errors
    /// Where the machine gives no threads or takes the port away.
    pub(crate) fn serve(self) -> Result<()> {
        let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build()?;
        runtime.block_on(async {
            let listener = tokio::net::TcpListener::from_std(self.listener)?;
            axum::serve(listener, self.router)
                .with_graceful_shutdown(async {
                    // Without a signal to wait for the page would close at once.
                    if tokio::signal::ctrl_c().await.is_err() {
                        std::future::pending::<()>().await;
                    }
                })
                .await
        })?;
        Ok(())
    }
}

#[derive(Clone)]
struct Shared {
    desk: Arc<Desk>,
    guard: Arc<Guard>,
}

fn router(desk: Arc<Desk>, guard: Arc<Guard>) -> Router {
    let shared = Shared { desk, guard: Arc::clone(&guard) };
    let mut router = Router::new()
        .route("/", get(door))
        .route("/state", get(state))
        .route("/dossier.pdf", get(dossier))
        .route("/site.html", get(site))
        .route("/assets/{name}", get(assets::send));
    for sheet in &SHEETS {
        router = router.route(sheet.address, get(show));
    }
    for address in edits::ADDRESSES {
        router = router.route(address, post(change));
    }
    router
        .fallback(|| async { sentence(StatusCode::NOT_FOUND, words::NO_SUCH_PAGE) })
        .layer(DefaultBodyLimit::max(LARGEST_BODY))
        .layer(middleware::from_fn_with_state(guard, guard::watch))
        .with_state(shared)
}

/// Lets the one in who has the word, and shows the first sheet.
async fn door(
    State(shared): State<Shared>,
    Query(query): Query<BTreeMap<String, String>>,
    headers: HeaderMap,
) -> Response {
    let known = query.get("key").is_some_and(|word| shared.guard.knows(word));
    if !known && !shared.guard.has_cookie(&headers) {
        return sentence(StatusCode::FORBIDDEN, words::NO_KEY);
    }
    let mut response = Redirect::to("/room").into_response();
    if let Ok(cookie) = shared.guard.cookie_to_set().parse() {
        response.headers_mut().insert(header::SET_COOKIE, cookie);
    }
    response
}

async fn show(State(shared): State<Shared>, uri: Uri) -> Response {
    let here = uri.path_and_query().map_or_else(|| "/room".to_owned(), ToString::to_string);
    aside(move || Html(drawn(&shared.desk, &here, None)).into_response()).await
}

/// An edit. Done, it leads back to the sheet; not done, the sheet comes with the sentence and what was typed.
async fn change(
    State(shared): State<Shared>,
    uri: Uri,
    Query(query): Query<BTreeMap<String, String>>,
    Form(mut pairs): Form<Vec<(String, String)>>,
) -> Response {
    pairs.extend(query);
    aside(move || {
        let here = own_address(edits::of(&pairs, "page").unwrap_or("/room"));
        match edits::make(&shared.desk, uri.path(), &pairs) {
            Ok(next) => Redirect::to(&next.unwrap_or(here)).into_response(),
            Err(kept) => Html(drawn(&shared.desk, &here, Some(&kept))).into_response(),
        }
    })
    .await
}

/// An address of our own register, whatever was sent.
fn own_address(sent: &str) -> String {
    let path = sent.split('?').next().unwrap_or_default();
    let own = SHEETS.iter().any(|sheet| sheet.address == path) && sent.chars().all(|c| !c.is_control());
    if own { sent.to_owned() } else { "/room".to_owned() }
}

/// `version drawn busy`, so that a page knows whether it is the newest.
async fn state(State(shared): State<Shared>) -> Response {
    aside(move || {
        let (version, drawn, busy) = shared.desk.state();
        axum::Json(serde_json::json!({ "version": version, "drawn": drawn, "busy": busy })).into_response()
    })
    .await
}

async fn dossier(State(shared): State<Shared>) -> Response {
    aside(move || {
        let Some(plan) = shared.desk.spread().reading.plan else {
            return sentence(StatusCode::CONFLICT, words::NO_PLAN);
        };
        let drawings = sheets::drawings::drawings(&plan);
        match paper::pdf::write(&sheets::dossier::dossier(&plan, &drawings)) {
            Ok(bytes) => download(bytes, "application/pdf", "dossier.pdf"),
            Err(error) => sentence(StatusCode::INTERNAL_SERVER_ERROR, &error.to_string()),
        }
    })
    .await
}

async fn site(State(shared): State<Shared>) -> Response {
    aside(move || match shared.desk.spread().reading.plan {
        Some(plan) => {
            download(sheets::site::page(&plan).into_bytes(), "text/html; charset=utf-8", "site.html")
        }
        None => sentence(StatusCode::CONFLICT, words::NO_PLAN),
    })
    .await
}

fn download(bytes: Vec<u8>, kind: &'static str, name: &str) -> Response {
    let headers = [
        (header::CONTENT_TYPE, kind.to_owned()),
        (header::CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")),
    ];
    (headers, bytes).into_response()
}

fn sentence(status: StatusCode, words: &str) -> Response {
    (status, Html(words::refused_page(words))).into_response()
}

/// Works on a thread that may take its time.
async fn aside(work: impl FnOnce() -> Response + Send + 'static) -> Response {
    tokio::task::spawn_blocking(work)
        .await
        .unwrap_or_else(|_| sentence(StatusCode::INTERNAL_SERVER_ERROR, words::NOT_FINISHED))
}

/// The whole page of a sheet.
fn drawn(desk: &Arc<Desk>, here: &str, kept: Option<&Kept>) -> String {
    let spread = desk.spread();
    let uri: Uri = here.parse().unwrap_or_else(|_| Uri::from_static("/room"));
    let address = SHEETS.iter().map(|sheet| sheet.address).find(|address| *address == uri.path());
    let address = address.unwrap_or("/room");
    let query = Query::<sheet::Query>::try_from_uri(&uri).map(|query| query.0).unwrap_or_default();
    let filling = Filling { contents: plan::edit::Contents::open(&spread.text).ok(), kept };
    let sheet = match (&spread.reading.plan, address) {
        (_, "/file") => sheet::raw::draw(&spread, kept),
        (None, _) => html! { p.note { (words::NO_PLAN) } },
        (Some(plan), _) => {
            let project = spread.reading.project.as_deref();
            let on = On { spread: &spread, plan, project, filling: &filling, query: &query, here };
            match address {
                "/built" => sheet::built::draw(&on),
                "/heard" => sheet::heard::draw(&on),
                "/ceiling" => sheet::ceiling::draw(&on),
                "/fabric" => sheet::fabric::draw(&on),
                "/order" => sheet::order::draw(&on),
                "/steps" => sheet::steps::draw(&on),
                _ => sheet::room::draw(&on),
            }
        }
    };
    frame::page(&spread, address, kept, &desk.name(), &sheet).into_string()
}

impl From<Refusal> for Kept {
    fn from(refusal: Refusal) -> Self {
        Self { sentence: refusal.sentence, found: refusal.found, ..Self::default() }
    }
}
