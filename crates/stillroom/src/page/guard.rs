//! Who may ask: only this machine's own browser, only with the word it was opened with, and only from our own pages.

use std::{fmt::Write as _, net::SocketAddr, sync::Arc, time::Instant};

use axum::{
    extract::{Request, State},
    http::{HeaderMap, HeaderValue, Method, StatusCode, header},
    middleware::Next,
    response::{Html, IntoResponse, Response},
};

use super::{
    one_time::{OneTime, same},
    words,
};

/// What the page may load and do: nothing but its own files.
const CONTENT_RULES: &str = "default-src 'self'; img-src 'self' data:; object-src 'none'; base-uri 'none'; \
                             form-action 'self'; frame-ancestors 'none'";

/// What a request is held against.
#[derive(Debug)]
pub(crate) struct Guard {
    /// Names this room answers to, with the port.
    hosts: Vec<String>,
    /// Name of the cookie: other rooms open at other ports keep theirs.
    cookie: String,
    door: Door,
}

/// How one is let in.
#[derive(Debug)]
enum Door {
    /// On this machine: by the word in the address that was printed.
    Word(String),
    /// From the network: by a code that is good once.
    Code(OneTime),
}

/// A word of 192 random bits nobody can guess.
///
/// # Errors
/// Where the machine gives no random numbers.
pub(crate) fn random_word() -> anyhow::Result<String> {
    let mut bytes = [0_u8; 24];
    getrandom::fill(&mut bytes)
        .map_err(|error| anyhow::anyhow!("This machine gives no random numbers: {error}."))?;
    Ok(bytes.iter().fold(String::new(), |mut word, byte| {
        let _ = write!(word, "{byte:02x}");
        word
    }))
}

impl Guard {
    /// A guard for a port of this machine, with a word nobody can guess.
    ///
    /// # Errors
    /// Where the machine gives no random numbers.
    pub(crate) fn new(port: u16) -> anyhow::Result<Self> {
        let hosts = ["127.0.0.1", "localhost", "[::1]"].map(|name| format!("{name}:{port}")).to_vec();
        Ok(Self { hosts, cookie: format!("stillroom-{port}"), door: Door::Word(random_word()?) })
    }

    /// A guard for an address on a network: nobody is let in until a code is made.
    pub(crate) fn of_network(address: SocketAddr) -> Self {
        let cookie = format!("stillroom-phone-{}", address.port());
        Self { hosts: vec![address.to_string()], cookie, door: Door::Code(OneTime::new()) }
    }

    /// The word in the address the browser is opened with; empty where there is none.
    pub(crate) fn token(&self) -> &str {
        match &self.door {
            Door::Word(word) => word,
            Door::Code(_) => "",
        }
    }

    /// The codes of a guard of the network.
    pub(crate) fn one_time(&self) -> Option<&OneTime> {
        match &self.door {
            Door::Word(_) => None,
            Door::Code(code) => Some(code),
        }
    }

    /// The first name this room answers to.
    pub(crate) fn host(&self) -> &str {
        self.hosts.first().map_or("", String::as_str)
    }

    /// Whether a request carries the cookie set at the door.
    pub(crate) fn has_cookie(&self, headers: &HeaderMap) -> bool {
        let prefix = format!("{}=", self.cookie);
        headers
            .get_all(header::COOKIE)
            .iter()
            .filter_map(|value| value.to_str().ok())
            .flat_map(|cookies| cookies.split(';'))
            .filter_map(|cookie| cookie.trim().strip_prefix(&prefix))
            .any(|session| match &self.door {
                Door::Word(word) => same(session, word),
                Door::Code(code) => code.knows(session),
            })
    }

    /// Looks at what somebody brought to the door; the cookie to set where it was right.
    ///
    /// # Errors
    /// The sentence to answer with.
    pub(crate) fn let_in(&self, word: &str) -> Result<String, &'static str> {
        let session = match &self.door {
            Door::Word(own) if same(word, own) => own.clone(),
            Door::Word(_) => return Err(words::NO_KEY),
            Door::Code(code) => code.enter(word, Instant::now())?,
        };
        Ok(format!("{}={session}; Path=/; HttpOnly; SameSite=Strict", self.cookie))
    }

    /// What one is told who has not been let in.
    pub(crate) fn stays_out(&self) -> &'static str {
        match &self.door {
            Door::Word(_) => words::NO_KEY,
            Door::Code(_) => words::lan::NO_CODE,
        }
    }

    /// What is wrong with a request; none if it may pass.
    fn refuses(&self, request: &Request) -> Option<(StatusCode, &'static str)> {
        let text = |name| request.headers().get(name).and_then(|value: &HeaderValue| value.to_str().ok());
        let Some(host) = text(header::HOST).filter(|host| self.hosts.iter().any(|own| own == host)) else {
            return Some((StatusCode::FORBIDDEN, words::WRONG_HOST));
        };
        let changes = request.method() != Method::GET && request.method() != Method::HEAD;
        let from_us = text(header::ORIGIN).is_some_and(|origin| origin == format!("http://{host}"));
        if changes && !from_us {
            return Some((StatusCode::FORBIDDEN, words::WRONG_ORIGIN));
        }
        // The door itself looks at the word in the address; faces and style sheets tell nothing.
        let open = matches!(request.uri().path(), "/") || request.uri().path().starts_with("/assets/");
        if !open && !self.has_cookie(request.headers()) {
            return Some((StatusCode::FORBIDDEN, self.stays_out()));
        }
        // What says that it is too large is not waited for; recordings are counted as they come.
        let counted = request.uri().path() == super::MEASURED;
        let length = text(header::CONTENT_LENGTH).and_then(|length| length.parse::<u64>().ok());
        (!counted && length.is_some_and(|length| length > super::LARGEST_BODY as u64))
            .then_some((StatusCode::PAYLOAD_TOO_LARGE, words::TOO_LARGE))
    }
}

/// Lets a request pass or answers it with a sentence.
pub(crate) async fn watch(State(guard): State<Arc<Guard>>, request: Request, next: Next) -> Response {
    let mut response = match guard.refuses(&request) {
        Some((status, sentence)) => (status, Html(words::refused_page(sentence))).into_response(),
        None => next.run(request).await,
    };
    let headers = response.headers_mut();
    for (name, value) in [
        (header::CONTENT_SECURITY_POLICY, CONTENT_RULES),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::X_FRAME_OPTIONS, "DENY"),
        // With none at all a form sent without scripts would not say that it comes from us.
        (header::REFERRER_POLICY, "same-origin"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    headers.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    response
}
