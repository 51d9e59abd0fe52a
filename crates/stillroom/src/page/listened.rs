//! Connections as they are taken: not too many at a time, and none that stays silent for long.

use std::{net::SocketAddr, pin::Pin, sync::Arc, time::Duration};

use axum::serve::Listener;
use tokio::{
    io::{AsyncRead, AsyncWrite, ReadBuf},
    net::{TcpListener, TcpStream},
    sync::{OwnedSemaphorePermit, Semaphore},
};
use tokio_io_timeout::TimeoutStream;

/// Connections at a time; a browser opens six.
const AT_MOST: usize = 256;
/// A connection over which nothing came, or nothing could be sent, for so long is closed. The slowest answer takes seconds.
const SILENT: Duration = Duration::from_mins(2);

/// A listener that keeps to both.
pub(crate) struct Listened {
    listener: TcpListener,
    places: Arc<Semaphore>,
    silent: Duration,
}

impl Listened {
    pub(crate) fn new(listener: TcpListener) -> Self {
        Self::with(listener, AT_MOST, SILENT)
    }

    fn with(listener: TcpListener, at_most: usize, silent: Duration) -> Self {
        Self { listener, places: Arc::new(Semaphore::new(at_most)), silent }
    }
}

impl Listener for Listened {
    type Io = Connection;
    type Addr = SocketAddr;

    async fn accept(&mut self) -> (Connection, SocketAddr) {
        // The places are never closed; if they were, there would be none.
        let Ok(place) = Arc::clone(&self.places).acquire_owned().await else {
            return std::future::pending().await;
        };
        // Errors of a single connection are waited out there.
        let (stream, from) = Listener::accept(&mut self.listener).await;
        let mut stream = Box::pin(TimeoutStream::new(stream));
        stream.as_mut().set_read_timeout_pinned(Some(self.silent));
        stream.as_mut().set_write_timeout_pinned(Some(self.silent));
        (Connection { stream, _place: place }, from)
    }

    fn local_addr(&self) -> std::io::Result<SocketAddr> {
        self.listener.local_addr()
    }
}

/// A connection, and its place among those there may be.
pub(crate) struct Connection {
    stream: Pin<Box<TimeoutStream<TcpStream>>>,
    _place: OwnedSemaphorePermit,
}

impl AsyncRead for Connection {
    fn poll_read(
        mut self: Pin<&mut Self>,
        context: &mut std::task::Context<'_>,
        into: &mut ReadBuf<'_>,
    ) -> std::task::Poll<std::io::Result<()>> {
        self.stream.as_mut().poll_read(context, into)
    }
}

impl AsyncWrite for Connection {
    fn poll_write(
        mut self: Pin<&mut Self>,
        context: &mut std::task::Context<'_>,
        bytes: &[u8],
    ) -> std::task::Poll<std::io::Result<usize>> {
        self.stream.as_mut().poll_write(context, bytes)
    }

    fn poll_flush(
        mut self: Pin<&mut Self>,
        context: &mut std::task::Context<'_>,
    ) -> std::task::Poll<std::io::Result<()>> {
        self.stream.as_mut().poll_flush(context)
    }

    fn poll_shutdown(
        mut self: Pin<&mut Self>,
        context: &mut std::task::Context<'_>,
    ) -> std::task::Poll<std::io::Result<()>> {
        self.stream.as_mut().poll_shutdown(context)
    }

    fn poll_write_vectored(
        mut self: Pin<&mut Self>,
        context: &mut std::task::Context<'_>,
        bytes: &[std::io::IoSlice<'_>],
    ) -> std::task::Poll<std::io::Result<usize>> {
        self.stream.as_mut().poll_write_vectored(context, bytes)
    }

    fn is_write_vectored(&self) -> bool {
        self.stream.is_write_vectored()
    }
}

#[cfg(test)]
mod tests {
    use std::{
        io::{Read, Write},
        net::TcpStream,
    };

    use axum::{Router, routing::get};

    use super::*;

    /// A page of one word, with so many places and so short a patience.
    fn opened(at_most: usize, silent: Duration) -> (tokio::runtime::Runtime, SocketAddr) {
        let runtime =
            tokio::runtime::Builder::new_multi_thread().worker_threads(1).enable_all().build().unwrap();
        let listener = runtime.block_on(TcpListener::bind("127.0.0.1:0")).unwrap();
        let address = listener.local_addr().unwrap();
        let listened = Listened::with(listener, at_most, silent);
        let router = Router::new().route("/", get(|| async { "still here" }));
        runtime.spawn(async move { axum::serve(listened, router).await });
        (runtime, address)
    }

    fn asked(address: SocketAddr) -> String {
        let mut stream = TcpStream::connect(address).unwrap();
        stream.write_all(b"GET / HTTP/1.1\r\nHost: here\r\nConnection: close\r\n\r\n").unwrap();
        let mut answer = String::new();
        stream.read_to_string(&mut answer).unwrap();
        answer
    }

    #[test]
    fn who_says_nothing_more_is_hung_up_on() {
        let (_runtime, address) = opened(4, Duration::from_millis(200));
        let mut slow = TcpStream::connect(address).unwrap();
        slow.write_all(b"GET / HTTP/1.1\r\nHost:").unwrap();
        // Ends only because the other side hangs up.
        let mut rest = Vec::new();
        let _ = slow.read_to_end(&mut rest);
        assert!(rest.is_empty() || rest.starts_with(b"HTTP/1.1 4"), "{}", String::from_utf8_lossy(&rest));
        assert!(asked(address).contains("still here"));
    }

    #[test]
    fn places_taken_by_the_silent_come_free_again() {
        let (_runtime, address) = opened(2, Duration::from_millis(300));
        let silent: Vec<TcpStream> = (0..2).map(|_| TcpStream::connect(address).unwrap()).collect();
        assert!(asked(address).contains("still here"));
        drop(silent);
    }
}
