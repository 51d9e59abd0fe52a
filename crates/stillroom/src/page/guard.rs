//! Who may ask: only this machine's own browser, only with the word it was opened with, and only from our own pages.

use std::{fmt::Write as _, sync::Arc};

use axum::{
    extract::{Request, State},
    http::{HeaderMap, HeaderValue, Method, StatusCode, header},
    middleware::Next,
    response::{Html, IntoResponse, Response},
};

use super::words;

/// What the page may load and do: nothing but its own files.
const CONTENT_RULES: &str = "default-src 'self'; img-src 'self' data:; object-src 'none'; base-uri 'none'; \
                             form-action 'self'; frame-ancestors 'none'";

/// What a request is held against.
#[derive(Debug)]
pub(crate) struct Guard {
    port: u16,
    token: String,
}

impl Guard {
    /// A guard for a port with a token nobody can guess.
    ///
    /// # Errors
    /// Where the machine gives no random numbers.
    pub(crate) fn new(port: u16) -> anyhow::Result<Self> {
        let mut bytes = [0_u8; 24];
        getrandom::fill(&mut bytes)
            .map_err(|error| anyhow::anyhow!("This machine gives no random numbers: {error}."))?;
        let token = bytes.iter().fold(String::new(), |mut token, byte| {
            let _ = write!(token, "{byte:02x}");
            token
        });
        Ok(Self { port, token })
    }

    /// The word in the address the browser is opened with.
    pub(crate) fn token(&self) -> &str {
        &self.token
    }

    /// Name of the cookie: other rooms open at other ports keep theirs.
    fn cookie(&self) -> String {
        format!("stillroom-{}", self.port)
    }

    fn is_own_host(&self, host: &str) -> bool {
        ["127.0.0.1", "localhost", "[::1]"].iter().any(|name| host == format!("{name}:{}", self.port))
    }

    /// Whether a request carries the cookie set at the door.
    pub(crate) fn has_cookie(&self, headers: &HeaderMap) -> bool {
        let wanted = format!("{}={}", self.cookie(), self.token);
        headers
            .get_all(header::COOKIE)
            .iter()
            .filter_map(|value| value.to_str().ok())
            .flat_map(|cookies| cookies.split(';'))
            .any(|cookie| same(cookie.trim(), &wanted))
    }

    /// The cookie as it is set once the word was right.
    pub(crate) fn cookie_to_set(&self) -> String {
        format!("{}={}; Path=/; HttpOnly; SameSite=Strict", self.cookie(), self.token)
    }

    /// Whether a word is the one the browser was opened with.
    pub(crate) fn knows(&self, word: &str) -> bool {
        same(word, &self.token)
    }

    /// What is wrong with a request; none if it may pass.
    fn refuses(&self, request: &Request) -> Option<(StatusCode, &'static str)> {
        let text = |name| request.headers().get(name).and_then(|value: &HeaderValue| value.to_str().ok());
        let Some(host) = text(header::HOST).filter(|host| self.is_own_host(host)) else {
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
            return Some((StatusCode::FORBIDDEN, words::NO_KEY));
        }
        // What says that it is too large is not waited for.
        let length = text(header::CONTENT_LENGTH).and_then(|length| length.parse::<u64>().ok());
        length
            .is_some_and(|length| length > super::LARGEST_BODY as u64)
            .then_some((StatusCode::PAYLOAD_TOO_LARGE, words::TOO_LARGE))
    }
}

/// Compares without telling by the time it takes how much was right.
fn same(one: &str, other: &str) -> bool {
    one.len() == other.len() && one.bytes().zip(other.bytes()).fold(0, |all, (a, b)| all | (a ^ b)) == 0
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
        (header::REFERRER_POLICY, "no-referrer"),
    ] {
        headers.insert(name, HeaderValue::from_static(value));
    }
    headers.entry(header::CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    response
}
