//! The local page: the room file laid on a desk, its plan drawn, every edit written back.
//!
//! Everything is drawn here and sent whole; the script of the page only saves a full load and adds dragging. Without `--lan`
//! nothing leaves this machine: the address is a loopback one. The page may load only its own files.

mod assets;
mod choosing;
mod desk;
mod edits;
mod fields;
mod frame;
mod guard;
mod listened;
mod manner;
mod one_time;
mod phone;
mod recordings;
mod sheet;
mod sounds;
mod taking_in;
#[cfg(test)]
mod tests;
mod upload;
mod words;

use std::{collections::BTreeMap, net::Ipv4Addr, path::Path, sync::Arc};

use anyhow::{Context, Result};
use axum::{
    Router,
    extract::{DefaultBodyLimit, Form, Multipart, Path as Route, Query, State},
    http::{HeaderMap, StatusCode, Uri, header},
    middleware,
    response::{Html, IntoResponse, Redirect, Response},
    routing::{get, post},
};
use maud::html;

pub(crate) use self::phone::own_address;
use self::{
    choosing::Choosing,
    desk::{Desk, Refusal, Spread},
    fields::{Filling, Kept},
    frame::SHEETS,
    guard::Guard,
    listened::Listened,
    manner::Manner,
    sheet::On,
    sounds::{Making, Sounds},
};

/// Where recordings are sent.
const MEASURED: &str = "/measured";
/// Where the file of readings from the phone is sent.
const READINGS: &str = "/readings";
/// Largest body taken: a room file, written in a form.
const LARGEST_BODY: usize = 48 * 1024 * 1024;

/// A room opened: where to look at it.
pub(crate) struct Opened {
    /// The address to open, with the word that lets one in.
    pub(crate) address: String,
    /// What is printed for a phone on the same network, where it is let in.
    pub(crate) for_phone: Option<String>,
    doors: Vec<(std::net::TcpListener, Router)>,
}

/// Opens a room file at a port of this machine, at any free one for 0; where a network is given, to phones let in by a code there too.
///
/// # Errors
/// Where the file cannot be read, the port is taken, or the machine has no such address.
pub(crate) fn open(room: &Path, port: u16, network: Option<Ipv4Addr>) -> Result<Opened> {
    let desk = Desk::open(room)?;
    let own = listen(Ipv4Addr::LOCALHOST, port)?;
    let port = own.local_addr()?.port();
    let guard = Arc::new(Guard::new(port)?);
    let address = format!("http://127.0.0.1:{port}/?key={}", guard.token());
    let Some(network) = network else {
        let router = router(desk, guard, None);
        return Ok(Opened { address, for_phone: None, doors: vec![(own, router)] });
    };
    let outer = listen(network, 0)?;
    let phone = Arc::new(Guard::of_network(outer.local_addr()?));
    let for_phone = phone::invite(&phone)?.map(|invited| invited.printed());
    let doors = vec![
        (own, router(Arc::clone(&desk), guard, Some(Arc::clone(&phone)))),
        (outer, router(desk, phone, None)),
    ];
    Ok(Opened { address, for_phone, doors })
}

fn listen(address: Ipv4Addr, port: u16) -> Result<std::net::TcpListener> {
    let listener = std::net::TcpListener::bind((address, port)).with_context(|| {
        if address.is_loopback() {
            format!("Port {port} of this machine cannot be used. Leave `--port` away, or name another.")
        } else {
            format!("This machine cannot be reached at {address}. Name the address it has on your network: `--lan-address 192.168.1.20`.")
        }
    })?;
    listener.set_nonblocking(true)?;
    Ok(listener)
}

impl Opened {
    /// Answers until Ctrl+C.
    ///
    /// # Errors
    /// Where the machine gives no threads or takes the port away.
    pub(crate) fn serve(self) -> Result<()> {
        let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build()?;
        runtime.block_on(async {
            let mut doors = tokio::task::JoinSet::new();
            for (listener, router) in self.doors {
                let listener = Listened::new(tokio::net::TcpListener::from_std(listener)?);
                doors.spawn(async move {
                    axum::serve(listener, router)
                        .with_graceful_shutdown(async {
                            // Without a signal to wait for the page would close at once.
                            if tokio::signal::ctrl_c().await.is_err() {
                                std::future::pending::<()>().await;
                            }
                        })
                        .await
                });
            }
            while let Some(done) = doors.join_next().await {
                done.map_err(std::io::Error::other)??;
            }
            Ok(())
        })
    }
}

#[derive(Clone)]
struct Shared {
    desk: Arc<Desk>,
    guard: Arc<Guard>,
    /// Of the page of this machine: the guard of the network, for which it may make codes.
    phone: Option<Arc<Guard>>,
}

fn router(desk: Arc<Desk>, guard: Arc<Guard>, phone: Option<Arc<Guard>>) -> Router {
    let shared = Shared { desk, guard: Arc::clone(&guard), phone };
    let mut router = Router::new()
        .route("/", get(door))
        .route("/state", get(state))
        .route("/dossier.pdf", get(dossier))
        .route("/site.html", get(site))
        .route("/lengths", post(lengths))
        .route("/phone", get(phone::show).post(phone::another))
        .route("/sounds", get(sounds).post(make_sounds))
        .route("/stop-sounds", post(stop_sounds))
        .route("/sound/{count}/{number}", get(sound))
        // A recording is larger than a form; it is counted as it comes.
        .route(MEASURED, post(measured).layer(DefaultBodyLimit::disable()))
        .route(READINGS, post(readings))
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
    // Who is in already brings no wrong code, however old the address.
    if shared.guard.has_cookie(&headers) {
        return Redirect::to("/room").into_response();
    }
    let cookie = match query.get("key").or_else(|| query.get("code")) {
        None => return sentence(StatusCode::FORBIDDEN, shared.guard.stays_out()),
        Some(word) => shared.guard.let_in(word),
    };
    match cookie.map(|cookie| cookie.parse()) {
        Ok(Ok(cookie)) => {
            let mut response = Redirect::to("/room").into_response();
            response.headers_mut().insert(header::SET_COOKIE, cookie);
            response
        }
        Err(why) => sentence(StatusCode::FORBIDDEN, why),
        Ok(Err(_)) => sentence(StatusCode::INTERNAL_SERVER_ERROR, words::NOT_FINISHED),
    }
}

async fn show(State(shared): State<Shared>, uri: Uri, headers: HeaderMap) -> Response {
    let manner = Manner::of(&headers);
    let here = uri.path_and_query().map_or_else(|| "/room".to_owned(), ToString::to_string);
    aside(move || Html(drawn(&shared, manner, &here, None)).into_response()).await
}

/// An edit. Done, it leads back to the sheet; not done, the sheet comes with the sentence and what was typed.
async fn change(
    State(shared): State<Shared>,
    uri: Uri,
    Query(query): Query<BTreeMap<String, String>>,
    headers: HeaderMap,
    Form(mut pairs): Form<Vec<(String, String)>>,
) -> Response {
    pairs.extend(query);
    let manner = Manner::of(&headers);
    aside(move || {
        let here = own_sheet(edits::of(&pairs, "page").unwrap_or("/room"));
        match edits::make(&shared.desk, uri.path(), &pairs, manner) {
            Ok(next) => Redirect::to(&next.unwrap_or(here)).into_response(),
            Err(kept) => Html(drawn(&shared, manner, &here, Some(&kept))).into_response(),
        }
    })
    .await
}

/// An address of our own register, whatever was sent.
fn own_sheet(sent: &str) -> String {
    let path = sent.split('?').next().unwrap_or_default();
    let own = SHEETS.iter().any(|sheet| sheet.address == path) && sent.chars().all(|c| !c.is_control());
    if own { sent.to_owned() } else { "/room".to_owned() }
}

/// `version drawn busy`, so that a page knows whether it is the newest.
async fn state(State(shared): State<Shared>) -> Response {
    aside(move || {
        let now = shared.desk.state();
        let choosing = match shared.desk.chooser().now() {
            Choosing::Running { stage, for_s } => {
                Some(serde_json::json!({ "stage": stage, "words": words::choose::under_way(stage, for_s) }))
            }
            _ => None,
        };
        let state = serde_json::json!({
            "version": now.version, "drawn": now.drawn, "busy": now.busy, "choosing": choosing,
        });
        axum::Json(state).into_response()
    })
    .await
}

/// Everything on paper, in the unit of the page.
async fn dossier(State(shared): State<Shared>, headers: HeaderMap) -> Response {
    let manner = Manner::of(&headers);
    aside(move || {
        let plan = match shared.desk.settled() {
            Ok(plan) => plan,
            Err(why) => return sentence(StatusCode::CONFLICT, &why),
        };
        // What was chosen for this text of the file goes with it.
        let choice = shared.desk.chosen();
        let choice = choice.as_deref();
        let plan = manner.in_room(Some(&plan)).plan(&plan);
        let mut drawings = sheets::drawings::drawings(&plan);
        drawings.extend(choice.map(|choice| sheets::choosing::drawing(choice, plan.lengths())));
        match paper::pdf::write(&sheets::dossier::dossier_with(&plan, &drawings, choice)) {
            Ok(bytes) => download(bytes, "application/pdf", "dossier.pdf"),
            Err(error) => sentence(StatusCode::INTERNAL_SERVER_ERROR, &error.to_string()),
        }
    })
    .await
}

/// The page for the site, in the unit of this page.
async fn site(State(shared): State<Shared>, headers: HeaderMap) -> Response {
    let manner = Manner::of(&headers);
    aside(move || match shared.desk.settled() {
        Ok(plan) => {
            let page = sheets::site::page(&manner.in_room(Some(&plan)).plan(&plan));
            download(page.into_bytes(), "text/html; charset=utf-8", "site.html")
        }
        Err(why) => sentence(StatusCode::CONFLICT, &why),
    })
    .await
}

/// Recordings, or levels typed from a meter.
async fn measured(State(shared): State<Shared>, headers: HeaderMap, form: Multipart) -> Response {
    let manner = Manner::of(&headers);
    let taken = upload::take(&shared.desk, form).await;
    aside(move || match upload::make(&shared.desk, taken) {
        Ok(()) => Redirect::to("/proof").into_response(),
        Err(kept) => Html(drawn(&shared, manner, "/proof", Some(&kept))).into_response(),
    })
    .await
}

/// The file of readings from the phone.
async fn readings(State(shared): State<Shared>, headers: HeaderMap, form: Multipart) -> Response {
    let manner = Manner::of(&headers);
    let brought = taking_in::take(form).await;
    aside(move || match taking_in::make(&shared.desk, &brought) {
        Ok(()) => Redirect::to("/steps").into_response(),
        Err(kept) => Html(drawn(&shared, manner, "/steps", Some(&kept))).into_response(),
    })
    .await
}

/// Shows lengths in the other unit from here on.
async fn lengths(
    State(shared): State<Shared>,
    headers: HeaderMap,
    Form(pairs): Form<Vec<(String, String)>>,
) -> Response {
    let mut response = Redirect::to(&own_sheet(edits::of(&pairs, "page").unwrap_or("/room"))).into_response();
    let now = Manner::of(&headers).in_room(shared.desk.spread().reading.plan.as_deref());
    if let Ok(cookie) = now.other_unit().parse() {
        response.headers_mut().insert(header::SET_COOKIE, cookie);
    }
    response
}

/// What there is to hear, or how far it has come, for the script.
async fn sounds(State(shared): State<Shared>) -> Response {
    aside(move || how_far(&shared)).await
}

/// Begins to make the sounds of the plan.
async fn make_sounds(State(shared): State<Shared>) -> Response {
    aside(move || {
        // What still stands in would be heard as the room before an edit.
        let plan = match shared.desk.settled() {
            Ok(plan) => plan,
            Err(why) => return sentence(StatusCode::CONFLICT, &why),
        };
        let spread = shared.desk.spread();
        let Some(project) = spread.reading.project else {
            return sentence(StatusCode::CONFLICT, words::NO_PLAN);
        };
        Sounds::begin(&shared.desk, project, plan, spread.drawn);
        how_far(&shared)
    })
    .await
}

/// Stops making them.
async fn stop_sounds(State(shared): State<Shared>) -> Response {
    aside(move || {
        shared.desk.sounds().stop();
        how_far(&shared)
    })
    .await
}

fn how_far(shared: &Shared) -> Response {
    match shared.desk.sounds().now() {
        Making::Idle => axum::Json(serde_json::json!({ "state": "none" })).into_response(),
        Making::Running { done, of } => axum::Json(serde_json::json!({
            "state": "making", "done": done, "of": of, "words": words::hear::under_way(done, of),
        }))
        .into_response(),
        Making::Made(sounds) => axum::Json(&*sounds).into_response(),
        Making::Failed(why) => sentence(StatusCode::INTERNAL_SERVER_ERROR, &why),
    }
}

async fn sound(State(shared): State<Shared>, Route((count, number)): Route<(u64, usize)>) -> Response {
    aside(move || match shared.desk.sounds().file(count, number) {
        Some(wav) => ([(header::CONTENT_TYPE, "audio/wav")], wav).into_response(),
        None => sentence(StatusCode::NOT_FOUND, words::hear::NO_SOUND),
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
fn drawn(shared: &Shared, manner: Manner, here: &str, kept: Option<&Kept>) -> String {
    let desk = &shared.desk;
    let spread = Spread { phone: shared.phone.is_some(), ..desk.spread() };
    let uri: Uri = here.parse().unwrap_or_else(|_| Uri::from_static("/room"));
    let address = SHEETS.iter().map(|sheet| sheet.address).find(|address| *address == uri.path());
    let address = address.unwrap_or("/room");
    let query = Query::<sheet::Query>::try_from_uri(&uri).map(|query| query.0).unwrap_or_default();
    let manner = manner.in_room(spread.reading.plan.as_deref());
    let filling = Filling { contents: plan::edit::Contents::open(&spread.text).ok(), kept, manner };
    let sheet = match (&spread.reading.plan, address) {
        (_, "/file") => sheet::raw::draw(&spread, kept),
        (None, _) => html! { p.note { (words::NO_PLAN) } },
        (Some(plan), _) => {
            let plan = &*manner.plan(plan);
            let project = spread.reading.project.as_deref();
            let on = On { spread: &spread, plan, project, filling: &filling, query: &query, here };
            match address {
                "/built" => sheet::built::draw(&on),
                "/heard" => sheet::heard::draw(&on),
                "/choose" => sheet::choose::draw(&on),
                "/ceiling" => sheet::ceiling::draw(&on),
                "/fabric" => sheet::fabric::draw(&on),
                "/order" => sheet::order::draw(&on),
                "/steps" => sheet::steps::draw(&on),
                "/proof" => sheet::proof::draw(&on),
                _ => sheet::room::draw(&on),
            }
        }
    };
    let page = frame::page(&spread, (address, here), kept, (&desk.name(), manner), &sheet).into_string();
    manner.put_on(page, spread.reading.plan.as_deref(), kept.map(|kept| kept.typed.as_str()))
}

impl From<Refusal> for Kept {
    fn from(refusal: Refusal) -> Self {
        Self { sentence: refusal.sentence, found: refusal.found, ..Self::default() }
    }
}
