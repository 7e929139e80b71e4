//! What each command does.

mod lists;

use crate::{
    access,
    app::App,
    settings::Command,
    store::{Options, Store},
};
use std::{
    io::Write as _,
    net::{IpAddr, Ipv4Addr, Ipv6Addr, SocketAddr},
    path::{Path, PathBuf},
    time::Duration,
};
use tokio::net::TcpListener;

/// Runs a command to its end.
///
/// # Errors
/// One plain sentence for whoever started it.
pub async fn run(command: Command) -> Result<(), String> {
    match command {
        Command::Demo { listen } => demo(listen).await,
        Command::Serve {
            data,
            listen,
            link,
            behind_proxy,
            stalled_s,
            one_commit,
        } => {
            let listener = bind(listen).await?;
            let stopped = told_to_stop()?;
            let options = Options {
                one_commit,
                ..Options::default()
            };
            let store = Store::open_with(&data, options).await;
            let store = store.map_err(|e| e.to_string())?;
            let is_new = access::people::are_none(&store)
                .await
                .map_err(|e| e.to_string())?;
            let mut app = App::new(store);
            app.behind_proxy = behind_proxy;
            serve(app, listener, stopped, link || is_new, stalled_s).await
        }
        Command::Backup { data, file } => crate::store::backup(&data, &file)
            .await
            .map_err(|e| e.to_string()),
        Command::Restore { data, file } => crate::store::restore(&data, &file)
            .await
            .map_err(|e| e.to_string()),
        Command::Check { data } => check(&data).await,
        Command::Export {
            data,
            plan,
            kind,
            file,
        } => lists::export(&data, &plan, &kind, file.as_deref()).await,
        Command::Import { data, plan, file } => lists::import(&data, &plan, &file).await,
    }
}

async fn demo(listen: SocketAddr) -> Result<(), String> {
    let listener = bind(listen).await?;
    let stopped = told_to_stop()?;
    let folder = Throwaway::new()?;
    let store = Store::open(&folder.0).await.map_err(|e| e.to_string())?;
    crate::demo::fill(&store)
        .await
        .map_err(|e| format!("The demo plan could not be written: {e}"))?;
    serve(
        App::new(store),
        listener,
        stopped,
        true,
        crate::settings::STALLED_S,
    )
    .await
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

fn told_to_stop() -> Result<impl Future<Output = ()>, String> {
    crate::serve::told_to_stop()
        .map_err(|error| format!("The program could not ask to be told when to stop: {error}."))
}

/// A folder of the demo, which only its owner may read and which goes when the program does.
struct Throwaway(PathBuf);

impl Throwaway {
    fn new() -> Result<Self, String> {
        let name = format!("stillair-demo-{}", uuid::Uuid::now_v7().simple());
        let folder = std::env::temp_dir().join(name);
        let mut maker = std::fs::DirBuilder::new();
        #[cfg(unix)]
        std::os::unix::fs::DirBuilderExt::mode(&mut maker, 0o700);
        maker.create(&folder).map_err(|error| {
            format!(
                "The demo's folder {} could not be made: {error}.",
                folder.display()
            )
        })?;
        Ok(Self(folder))
    }
}

impl Drop for Throwaway {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

async fn serve(
    app: App,
    listener: TcpListener,
    stopped: impl Future<Output = ()>,
    print_link: bool,
    stalled_s: u64,
) -> Result<(), String> {
    let address = listener.local_addr().map_err(|e| e.to_string())?;
    access::people::learn_names(&app)
        .await
        .map_err(|e| e.to_string())?;
    if print_link {
        let token = access::links::lead_link(&app.store)
            .await
            .map_err(|e| e.to_string())?;
        say(&format!("http://{}/join/{token}", reachable(address)));
    }
    tracing::info!(%address, "serving");
    let (store, live) = (app.store.clone(), app.live.clone());
    let stopped = async move {
        stopped.await;
        live.close();
    };
    let stalled = Duration::from_secs(stalled_s);
    crate::serve::until(stopped, listener, app.router(), stalled).await;
    store.close().await;
    Ok(())
}

/// An address to open in a browser: "every address of this machine" is none, its own is one of them.
fn reachable(address: SocketAddr) -> SocketAddr {
    let own: IpAddr = match address.ip() {
        ip if !ip.is_unspecified() => return address,
        IpAddr::V4(_) => Ipv4Addr::LOCALHOST.into(),
        IpAddr::V6(_) => Ipv6Addr::LOCALHOST.into(),
    };
    SocketAddr::new(own, address.port())
}

/// One line on the standard output. A closed pipe must not end the program.
fn say(line: &str) {
    let mut out = std::io::stdout();
    let _ = writeln!(out, "{line}");
    let _ = out.flush();
}

async fn check(data: &Path) -> Result<(), String> {
    let store = Store::open(data).await.map_err(|e| e.to_string())?;
    let words = store.check().await.map_err(|e| e.to_string())?;
    say(&words);
    Ok(())
}
