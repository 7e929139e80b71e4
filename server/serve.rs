//! Takes connections, answers them, and lets them finish when the program is told to stop.

use crate::web::unstuck::Unstuck;
use axum::{
    Router,
    extract::{ConnectInfo, Request},
};
use hyper::server::conn::http1::Builder;
use hyper_util::{
    rt::{TokioIo, TokioTimer},
    server::graceful::GracefulShutdown,
    service::TowerToHyperService,
};
use std::time::Duration;
use tokio::net::{TcpListener, TcpStream};
use tower::ServiceExt as _;

/// How long the head of a request may take, and a kept connection may be idle.
const HEAD_DEADLINE: Duration = Duration::from_secs(30);
/// How long answers may take to finish once the program is told to stop.
const FAREWELL: Duration = Duration::from_secs(3);
/// Before the next connection is taken when the machine has no more to give.
const BREATH: Duration = Duration::from_millis(100);

/// Serves until the process is told to stop. A reader that takes nothing for `stalled` is cut off.
pub async fn until(
    stopped: impl Future<Output = ()>,
    listener: TcpListener,
    app: Router,
    stalled: Duration,
) {
    let mut server = Builder::new();
    server
        .timer(TokioTimer::new())
        .header_read_timeout(HEAD_DEADLINE);
    let open = GracefulShutdown::new();
    let mut stopped = std::pin::pin!(stopped);
    loop {
        let taken = tokio::select! {
            taken = listener.accept() => taken,
            () = &mut stopped => break,
        };
        match taken {
            Ok((stream, peer)) => {
                let told_who = app.clone().map_request(move |mut request: Request<_>| {
                    request.extensions_mut().insert(ConnectInfo(peer));
                    request
                });
                let service = TowerToHyperService::new(told_who);
                let stream = Unstuck::new(at_once(stream), stalled);
                let answers = server.serve_connection(TokioIo::new(stream), service);
                let answers = open.watch(answers);
                tokio::spawn(async move {
                    if let Err(error) = answers.await {
                        tracing::debug!(%peer, %error, "a connection broke off");
                    }
                });
            }
            Err(error) => {
                tracing::warn!(%error, "a connection could not be taken");
                tokio::time::sleep(BREATH).await;
            }
        }
    }
    drop(listener);
    // A page that follows along has no end of its own.
    let _ = tokio::time::timeout(FAREWELL, open.shutdown()).await;
}

/// Small answers are not held back to be sent with the next.
fn at_once(stream: TcpStream) -> TcpStream {
    let _ = stream.set_nodelay(true);
    stream
}

/// Ends with Ctrl-C, or with the word of whoever runs services on this machine. From this call on, neither of them ends the
/// program by itself, so that what was begun is cleared away.
///
/// # Errors
/// The system gives no such word.
pub fn told_to_stop() -> std::io::Result<impl Future<Output = ()>> {
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        let mut interrupt = signal(SignalKind::interrupt())?;
        let mut terminate = signal(SignalKind::terminate())?;
        Ok(async move {
            tokio::select! { _ = interrupt.recv() => {}, _ = terminate.recv() => {} }
        })
    }
    #[cfg(not(unix))]
    {
        Ok(async {
            let _ = tokio::signal::ctrl_c().await;
        })
    }
}
