//! Listening: connections taken up to a number, each with a time for its heading, for its idling and for reading the answer.
//!
//! A connection that says nothing, trickles its heading or leaves its answer unread is closed; bodies have their own times
//! ([`super::body`]). When the program is to end, no further connection is taken, open ones finish their answer within
//! [`super::Limits::farewell`], then it ends.

use super::Limits;
use axum::Router;
use hyper::server::conn::http1;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::service::TowerToHyperService;
use std::future::Future;
use std::io;
use std::pin::Pin;
use std::sync::Arc;
use std::task::{Context, Poll};
use std::time::Duration;
use tokio::io::{AsyncRead, AsyncWrite, ReadBuf};
use tokio::net::{TcpListener, TcpStream};
use tokio::sync::{Semaphore, watch};
use tokio::time::{Instant, Sleep, sleep, timeout};

/// Serves until `end` is done.
pub async fn serve(listeners: Vec<TcpListener>, router: Router, limits: Limits, end: impl Future<Output = ()>) {
    let places = Arc::new(Semaphore::new(limits.connections.max(1)));
    let (ending, ended) = watch::channel(false);
    let takers: Vec<_> = listeners
        .into_iter()
        .map(|listener| tokio::spawn(take(listener, router.clone(), limits.clone(), places.clone(), ended.clone())))
        .collect();
    end.await;
    // Nobody may be left to hear it.
    let _ = ending.send(true);
    for taker in takers {
        taker.abort();
    }
    // Every place is free when every connection is closed.
    let all = u32::try_from(limits.connections.max(1)).unwrap_or(u32::MAX);
    let _ = timeout(limits.farewell, places.acquire_many(all)).await;
}

async fn take(listener: TcpListener, router: Router, limits: Limits, places: Arc<Semaphore>, ended: watch::Receiver<bool>) {
    loop {
        let Ok(place) = places.clone().acquire_owned().await else { return };
        let Ok((stream, _)) = listener.accept().await else {
            // Out of file handles, or the visitor left while still in line: the next one may be luckier a little later.
            sleep(Duration::from_millis(50)).await;
            continue;
        };
        let (router, limits, ended) = (router.clone(), limits.clone(), ended.clone());
        tokio::spawn(async move {
            talk(stream, router, &limits, ended).await;
            drop(place);
        });
    }
}

async fn talk(stream: TcpStream, router: Router, limits: &Limits, mut ended: watch::Receiver<bool>) {
    // Small answers go out at once.
    let _ = stream.set_nodelay(true);
    let stream = TokioIo::new(Read { stream, patience: limits.unread, stalled: None });
    let mut connection = std::pin::pin!(
        http1::Builder::new()
            .timer(TokioTimer::new())
            .header_read_timeout(limits.heading)
            .max_buf_size(limits.heading_bytes.max(8192))
            .max_headers(64)
            .serve_connection(stream, TowerToHyperService::new(router))
    );
    let left = tokio::select! {
        // What a connection ends with is its visitor's affair.
        _ = connection.as_mut() => false,
        _ = ended.wait_for(|ended| *ended) => true,
    };
    if left {
        connection.as_mut().graceful_shutdown();
        let _ = connection.await;
    }
}

/// A connection whose answers must be read: when nothing can be written for a while it is an error.
struct Read {
    stream: TcpStream,
    patience: Duration,
    stalled: Option<Pin<Box<Sleep>>>,
}

impl Read {
    fn watched<T>(&mut self, context: &mut Context<'_>, written: Poll<io::Result<T>>) -> Poll<io::Result<T>> {
        if written.is_ready() {
            self.stalled = None;
            return written;
        }
        let until = Instant::now() + self.patience;
        let stalled = self.stalled.get_or_insert_with(|| Box::pin(tokio::time::sleep_until(until)));
        match stalled.as_mut().poll(context) {
            Poll::Ready(()) => Poll::Ready(Err(io::ErrorKind::TimedOut.into())),
            Poll::Pending => Poll::Pending,
        }
    }
}

impl AsyncRead for Read {
    fn poll_read(mut self: Pin<&mut Self>, context: &mut Context<'_>, buffer: &mut ReadBuf<'_>) -> Poll<io::Result<()>> {
        Pin::new(&mut self.stream).poll_read(context, buffer)
    }
}

impl AsyncWrite for Read {
    fn poll_write(mut self: Pin<&mut Self>, context: &mut Context<'_>, bytes: &[u8]) -> Poll<io::Result<usize>> {
        let written = Pin::new(&mut self.stream).poll_write(context, bytes);
        self.watched(context, written)
    }

    fn poll_flush(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        let written = Pin::new(&mut self.stream).poll_flush(context);
        self.watched(context, written)
    }

    fn poll_shutdown(mut self: Pin<&mut Self>, context: &mut Context<'_>) -> Poll<io::Result<()>> {
        let written = Pin::new(&mut self.stream).poll_shutdown(context);
        self.watched(context, written)
    }

    fn poll_write_vectored(mut self: Pin<&mut Self>, context: &mut Context<'_>, bytes: &[io::IoSlice<'_>]) -> Poll<io::Result<usize>> {
        let written = Pin::new(&mut self.stream).poll_write_vectored(context, bytes);
        self.watched(context, written)
    }

    fn is_write_vectored(&self) -> bool {
        self.stream.is_write_vectored()
    }
}
