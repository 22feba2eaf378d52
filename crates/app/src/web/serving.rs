//! The listener: who is let in, for how long, and how it ends.
//!
//! A connection must send the head of its request in time, also between two
//! requests. There is room for so many; when one more comes, the one that has
//! asked nothing for longest goes, or else the one whose form has been coming
//! in for longest. One signal ends all within a second: what
//! was acknowledged is in the file by then, and nothing else was promised.

use axum::Router;
use axum::body::Body;
use axum::http::{Method, Request};
use hyper::body::Incoming;
use hyper::server::conn::http1;
use hyper::service::service_fn;
use hyper_util::rt::{TokioIo, TokioTimer};
use hyper_util::server::graceful::GracefulShutdown;
use std::collections::VecDeque;
use std::future::pending;
use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicU8, Ordering};
use std::time::Duration;
use tokio::net::{TcpListener, TcpStream};
use tokio::task::{AbortHandle, JoinSet};
use tower::ServiceExt;

/// Longest wait for the head of a request.
const HEAD_TIME: Duration = Duration::from_secs(10);
/// Largest head, and most that is read ahead of a body [bytes].
const HEAD_BYTES: usize = 64 * 1024;
/// Most connections at once.
const MOST: usize = 200;
/// Pause when the system has no more sockets to give.
const SHORT_OF_SOCKETS: Duration = Duration::from_millis(50);
/// How long answers under way are waited for at the end.
const GRACE: Duration = Duration::from_millis(300);

/// Serves until told to stop.
pub(super) async fn serve(router: Router, listener: TcpListener) -> io::Result<()> {
    let mut house = House::new(router);
    let stop = told_to_stop();
    tokio::pin!(stop);
    loop {
        let taken = tokio::select! {
            biased;
            () = &mut stop => break,
            taken = house.next(&listener) => taken,
        };
        match taken {
            Ok(socket) => house.let_in(socket),
            // One that hung up before it was let in, or a short supply: the
            // next may do better.
            Err(_) => tokio::time::sleep(SHORT_OF_SOCKETS).await,
        }
    }
    drop(listener);
    house.close().await;
    Ok(())
}

/// Ctrl-C, or the system's word to end. When neither can be listened for,
/// never.
async fn told_to_stop() {
    let interrupted = async {
        if tokio::signal::ctrl_c().await.is_err() {
            pending::<()>().await;
        }
    };
    tokio::select! {
        () = interrupted => {}
        () = terminated() => {}
    }
}

#[cfg(unix)]
async fn terminated() {
    use tokio::signal::unix::{SignalKind, signal};
    match signal(SignalKind::terminate()) {
        Ok(mut told) => {
            told.recv().await;
        }
        Err(_) => pending().await,
    }
}

#[cfg(not(unix))]
async fn terminated() {
    pending().await
}

/// Nothing was asked yet, or all is answered.
const IDLE: u8 = 0;
/// The body of a form or file is awaited.
const COMING: u8 = 1;
/// What was asked is being answered.
const ASKED: u8 = 2;

/// What a connection is at.
#[derive(Debug, Clone, Default)]
pub(super) struct Visit(Arc<AtomicU8>);

impl Visit {
    /// Nothing more of the request is awaited.
    pub(super) fn came_whole(&self) {
        self.0.store(ASKED, Ordering::Relaxed);
    }

    fn is(&self, state: u8) -> bool {
        self.0.load(Ordering::Relaxed) == state
    }
}

/// One connection, and what it is at.
struct Visitor {
    task: AbortHandle,
    visit: Visit,
}

/// All connections, the oldest first.
struct House {
    router: Router,
    visitors: VecDeque<Visitor>,
    tasks: JoinSet<()>,
    graceful: GracefulShutdown,
}

impl House {
    fn new(router: Router) -> Self {
        Self {
            router,
            visitors: VecDeque::new(),
            tasks: JoinSet::new(),
            graceful: GracefulShutdown::new(),
        }
    }

    /// The next connection, when there is room for it.
    async fn next(&mut self, listener: &TcpListener) -> io::Result<TcpStream> {
        let (socket, _) = listener.accept().await?;
        while self.tasks.len() >= MOST {
            self.visitors.retain(|v| !v.task.is_finished());
            let first = |state| self.visitors.iter().position(|v| v.visit.is(state));
            if let Some(at) = first(IDLE).or_else(|| first(COMING))
                && let Some(gone) = self.visitors.remove(at)
            {
                gone.task.abort();
            }
            self.tasks.join_next().await;
        }
        while self.tasks.try_join_next().is_some() {}
        Ok(socket)
    }

    fn let_in(&mut self, socket: TcpStream) {
        let visit = Visit::default();
        let (router, seen) = (self.router.clone(), visit.clone());
        let service = service_fn(move |mut request: Request<Incoming>| {
            let (router, _asking) = (router.clone(), Asking::begin(&seen, request.method()));
            request.extensions_mut().insert(seen.clone());
            async move {
                let _asking = _asking;
                router.oneshot(request.map(Body::new)).await
            }
        });
        let connection = http1::Builder::new()
            .timer(TokioTimer::new())
            .header_read_timeout(HEAD_TIME)
            .max_buf_size(HEAD_BYTES)
            .serve_connection(TokioIo::new(socket), service);
        let watched = self.graceful.watch(connection);
        let task = self.tasks.spawn(async move {
            // A connection that breaks off has nobody left to tell.
            let _ = watched.await;
        });
        self.visitors.push_back(Visitor { task, visit });
        if self.visitors.len() > 2 * MOST {
            self.visitors.retain(|v| !v.task.is_finished());
        }
    }

    /// Lets answers under way end, for a moment; then shuts the door.
    async fn close(mut self) {
        let _ = tokio::time::timeout(GRACE, self.graceful.shutdown()).await;
        self.tasks.shutdown().await;
    }
}

/// A request coming in or being answered.
struct Asking(Visit);

impl Asking {
    fn begin(visit: &Visit, method: &Method) -> Self {
        let state = if method == Method::POST {
            COMING
        } else {
            ASKED
        };
        visit.0.store(state, Ordering::Relaxed);
        Self(visit.clone())
    }
}

impl Drop for Asking {
    fn drop(&mut self) {
        self.0.0.store(IDLE, Ordering::Relaxed);
    }
}
