//! A phone on the network, and everybody else there.

use std::{net::SocketAddr, sync::Arc, time::Instant};

use axum::{
    Router,
    body::{Body, to_bytes},
    http::{Request, Response, StatusCode},
};
use tower::ServiceExt;

use super::Room;
use crate::page::{desk::Desk, guard::Guard, router};

const HOST: &str = "192.168.1.20:5000";

struct Network {
    room: Room,
    guard: Arc<Guard>,
    router: Router,
    own: Router,
}

impl Network {
    fn new(name: &str) -> Self {
        let room = Room::new(name);
        let guard = Arc::new(Guard::of_network(HOST.parse::<SocketAddr>().unwrap()));
        let desk = Desk::open(&room.folder.join("room.toml")).unwrap();
        let own = router(Arc::clone(&desk), Arc::new(Guard::new(4321).unwrap()), Some(Arc::clone(&guard)));
        Self { router: router(desk, Arc::clone(&guard), None), room, guard, own }
    }

    fn code(&self) -> String {
        self.guard.one_time().unwrap().new_code(Instant::now()).unwrap()
    }

    async fn ask(&self, address: &str, headers: &[(&str, &str)], post: bool) -> Response<Body> {
        let mut request = if post { Request::post(address) } else { Request::get(address) };
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        self.router.clone().oneshot(request.body(Body::empty()).unwrap()).await.unwrap()
    }
}

async fn text(response: Response<Body>) -> String {
    String::from_utf8_lossy(&to_bytes(response.into_body(), 1 << 24).await.unwrap()).into_owned()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_phone_is_let_in_once_by_its_code() {
    let net = Network::new("phone");
    for address in ["/", "/room", "/state", "/dossier.pdf", "/site.html", "/sounds", "/phone", "/file"] {
        let answer = net.ask(address, &[("host", HOST)], false).await;
        assert_eq!(answer.status(), StatusCode::FORBIDDEN, "{address}");
        let page = text(answer).await;
        assert!(!page.contains("Percussion") && page.contains("Scan the code"), "{page}");
    }
    let code = net.code();
    // From elsewhere under another name: a page that had its name lead here.
    let answer = net.ask(&format!("/?code={code}"), &[("host", "evil.example:5000")], false).await;
    assert_eq!(answer.status(), StatusCode::FORBIDDEN);
    let answer = net.ask(&format!("/?code={code}"), &[("host", HOST)], false).await;
    assert_eq!(answer.status(), StatusCode::SEE_OTHER);
    let cookie = answer.headers()["set-cookie"].to_str().unwrap().split(';').next().unwrap().to_owned();
    assert!(!cookie.contains(&code), "the code is not the session");
    let with = [("host", HOST), ("cookie", cookie.as_str())];
    assert_eq!(net.ask("/room", &with, false).await.status(), StatusCode::OK);
    // Replayed, the code is good for nobody.
    let again = net.ask(&format!("/?code={code}"), &[("host", HOST)], false).await;
    assert_eq!(again.status(), StatusCode::FORBIDDEN);
    // A phone makes no codes, and no other page changes anything through it.
    assert_eq!(net.ask("/phone", &with, false).await.status(), StatusCode::NOT_FOUND);
    let foreign = [("host", HOST), ("cookie", cookie.as_str()), ("origin", "http://evil.example")];
    assert_eq!(net.ask("/undo", &foreign, true).await.status(), StatusCode::FORBIDDEN);
    assert_eq!(net.ask("/undo", &with, true).await.status(), StatusCode::FORBIDDEN);
    assert_eq!(net.room.text(), super::DEMO);
}

#[tokio::test(flavor = "multi_thread")]
async fn guessing_at_the_door_is_told_to_wait_and_then_shut_out() {
    let net = Network::new("guessing");
    let code = net.code();
    let try_it = |word: String| {
        let net = &net;
        async move {
            let address = format!("/?code={word}");
            text(net.ask(&address, &[("host", HOST)], false).await).await
        }
    };
    assert!(try_it("0".repeat(48)).await.contains("is not good"));
    // Fast guessing is not looked at, not even where it is right.
    assert!(try_it("1".repeat(48)).await.contains("Wait two seconds"));
    assert!(try_it(code.clone()).await.contains("Wait two seconds"));
    // Neither is the word of this machine's own page a way in, nor an empty one.
    for word in [net.room.token.as_str(), ""] {
        let answer = net.ask(&format!("/?key={word}"), &[("host", HOST)], false).await;
        assert_eq!(answer.status(), StatusCode::FORBIDDEN);
    }
    for cookie in ["stillroom-phone-5000=", "stillroom-phone-5000=0", "stillroom-4321=x"] {
        let answer = net.ask("/room", &[("host", HOST), ("cookie", cookie)], false).await;
        assert_eq!(answer.status(), StatusCode::FORBIDDEN, "{cookie}");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn only_this_machine_makes_codes() {
    let net = Network::new("codes");
    let own_host = "127.0.0.1:4321";
    let door = Request::get("/phone").header("host", own_host).body(Body::empty()).unwrap();
    assert_eq!(net.own.clone().oneshot(door).await.unwrap().status(), StatusCode::FORBIDDEN);
    // Without a network there is no page for it.
    let (status, page) = net.room.get("/phone").await;
    assert_eq!(status, StatusCode::NOT_FOUND);
    assert!(page.contains("--lan"));
    // The drawn code is the one that lets in.
    let invited = crate::page::phone::invite(&net.guard).unwrap().unwrap();
    let printed = invited.printed();
    let address = printed.lines().find(|line| line.starts_with("http")).unwrap();
    let path = address.strip_prefix(&format!("http://{HOST}")).unwrap();
    assert_eq!(net.ask(path, &[("host", HOST)], false).await.status(), StatusCode::SEE_OTHER);
}
