//! The line between a browser and the program: it can be cut, and mended again.

use std::{
    net::SocketAddr,
    sync::{
        Arc, Mutex,
        atomic::{AtomicBool, Ordering},
    },
};
use tokio::{
    io::copy_bidirectional,
    net::{TcpListener, TcpStream},
    task::JoinHandle,
};

/// A port that passes everything on while it is whole.
pub struct Line {
    port: u16,
    to: Arc<Mutex<SocketAddr>>,
    is_whole: Arc<AtomicBool>,
    open: Arc<Mutex<Vec<JoinHandle<()>>>>,
    listening: JoinHandle<()>,
}

impl Line {
    /// A line to an address, as `http://host:port`.
    pub async fn to(site: &str) -> Self {
        let to = Arc::new(Mutex::new(address(site)));
        let ends = to.clone();
        let listener = TcpListener::bind("127.0.0.1:0").await.expect("a port");
        let port = listener.local_addr().expect("its address").port();
        let is_whole = Arc::new(AtomicBool::new(true));
        let open: Arc<Mutex<Vec<JoinHandle<()>>>> = Arc::default();
        let (whole, kept) = (is_whole.clone(), open.clone());
        let listening = tokio::spawn(async move {
            while let Ok((mut near, _)) = listener.accept().await {
                if !whole.load(Ordering::SeqCst) {
                    continue; // dropped: the browser finds nobody
                }
                let end = *ends.lock().expect("one at a time");
                let task = tokio::spawn(async move {
                    if let Ok(mut far) = TcpStream::connect(end).await {
                        let _ = far.set_nodelay(true);
                        let _ = near.set_nodelay(true);
                        let _ = copy_bidirectional(&mut near, &mut far).await;
                    }
                });
                kept.lock().expect("one at a time").push(task);
            }
        });
        Self {
            port,
            to,
            is_whole,
            open,
            listening,
        }
    }

    /// The site by a name that is not this machine's own, so that a browser gives it no more than any plain http page.
    pub fn site(&self) -> String {
        format!("http://stage.test:{}", self.port)
    }

    /// The site by this machine's own address, which browsers trust as they trust https.
    pub fn trusted_site(&self) -> String {
        format!("http://127.0.0.1:{}", self.port)
    }

    /// Nothing passes any more, and what was on its way is lost.
    pub fn cut(&self) {
        self.is_whole.store(false, Ordering::SeqCst);
        for task in self.open.lock().expect("one at a time").drain(..) {
            task.abort();
        }
    }

    /// From now on it leads to another program.
    pub fn lead_to(&self, site: &str) {
        *self.to.lock().expect("one at a time") = address(site);
    }

    /// It passes everything again.
    pub fn mend(&self) {
        self.is_whole.store(true, Ordering::SeqCst);
    }
}

fn address(site: &str) -> SocketAddr {
    let bare = site.trim_start_matches("http://");
    bare.parse().expect("an address")
}

impl Drop for Line {
    fn drop(&mut self) {
        self.cut();
        self.listening.abort();
    }
}
