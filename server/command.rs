//! What each command does.

use crate::{access, app::App, settings::Command, store::Store};
use axum::serve::ListenerExt as _;
use std::{io::Write as _, net::SocketAddr, path::Path};
use tokio::net::TcpListener;

/// Runs a command to its end.
///
/// # Errors
/// One plain sentence for whoever started it.
pub async fn run(command: Command) -> Result<(), String> {
    match command {
        Command::Demo { listen } => demo(listen).await,
        Command::Serve { data, listen } => {
            let listener = bind(listen).await?;
            let store = Store::open(&data).await.map_err(|e| e.to_string())?;
            let fresh = store.plans().await.map_err(|e| e.to_string())?.is_empty();
            serve(store, listener, fresh).await
        }
        Command::Backup { data, file } => crate::store::backup(&data, &file)
            .await
            .map_err(|e| e.to_string()),
        Command::Restore { data, file } => crate::store::restore(&data, &file)
            .await
            .map_err(|e| e.to_string()),
        Command::Check { data } => check(&data).await,
    }
}

async fn demo(listen: SocketAddr) -> Result<(), String> {
    let listener = bind(listen).await?;
    let folder =
        std::env::temp_dir().join(format!("stillair-demo-{}", uuid::Uuid::now_v7().simple()));
    let store = Store::open(&folder).await.map_err(|e| e.to_string())?;
    crate::demo::fill(&store)
        .await
        .map_err(|e| format!("The demo plan could not be written: {e}"))?;
    let done = serve(store, listener, true).await;
    let _ = std::fs::remove_dir_all(&folder);
    done
}

async fn bind(listen: SocketAddr) -> Result<TcpListener, String> {
    TcpListener::bind(listen)
        .await
        .map_err(|error| match error.kind() {
            std::io::ErrorKind::AddrInUse => format!(
                "Port {} is in use. Stop whatever has it, or choose another with --listen {}:{}.",
                listen.port(),
                listen.ip(),
                listen.port().wrapping_add(1)
            ),
            std::io::ErrorKind::PermissionDenied => format!(
                "Port {} needs more rights; choose one above 1023 with --listen.",
                listen.port()
            ),
            std::io::ErrorKind::AddrNotAvailable => {
                format!("This machine has no address {}.", listen.ip())
            }
            _ => format!("Could not listen on {listen}: {error}."),
        })
}

async fn serve(store: Store, listener: TcpListener, print_link: bool) -> Result<(), String> {
    let address = listener.local_addr().map_err(|e| e.to_string())?;
    if print_link {
        let token = access::links::lead_link(&store)
            .await
            .map_err(|e| e.to_string())?;
        // A closed pipe must not end the program.
        let mut out = std::io::stdout();
        let _ = writeln!(out, "http://{address}/join/{token}");
        let _ = out.flush();
    }
    tracing::info!(%address, "serving");
    let listener = listener.tap_io(|io| {
        let _ = io.set_nodelay(true);
    });
    let app = App::new(store)
        .router()
        .into_make_service_with_connect_info::<SocketAddr>();
    axum::serve(listener, app)
        .with_graceful_shutdown(stopped())
        .await
        .map_err(|e| e.to_string())
}

async fn stopped() {
    let interrupt = tokio::signal::ctrl_c();
    #[cfg(unix)]
    {
        if let Ok(mut terminate) =
            tokio::signal::unix::signal(tokio::signal::unix::SignalKind::terminate())
        {
            tokio::select! { _ = interrupt => {}, _ = terminate.recv() => {} }
            return;
        }
    }
    let _ = interrupt.await;
}

async fn check(data: &Path) -> Result<(), String> {
    let store = Store::open(data).await.map_err(|e| e.to_string())?;
    let words = store.check().await.map_err(|e| e.to_string())?;
    let _ = writeln!(std::io::stdout(), "{words}");
    Ok(())
}
